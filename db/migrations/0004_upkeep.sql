-- What is due: work done, deferrals, and the assessed state that lists are served from.

-- "Done" stores a time; its meter value is looked up. Never changed, but may be voided.
create table liftwright.task_done (
  fleet_id    int not null,
  done_id     uuid not null,
  asset_id    uuid not null,
  task_key    text not null check (length(task_key) <= 80),
  done_at     timestamptz not null,
  estimated   boolean not null,
  note        text check (length(note) <= 2000),
  recorded_by text not null,
  recorded_at timestamptz not null,
  void_reason text check (length(void_reason) between 1 and 2000),
  voided_by   text,
  voided_at   timestamptz,
  primary key (fleet_id, done_id),
  check (num_nonnulls(void_reason, voided_by, voided_at) in (0, 3)),
  foreign key (fleet_id, asset_id) references liftwright.asset
);
create index task_done_by_task on liftwright.task_done (fleet_id, asset_id, task_key, done_at);

-- A deferral ends by date and by use, whichever comes first. `until_use`: {meter: grains of use
-- after the deferral began}.
create table liftwright.task_deferral (
  fleet_id    int not null,
  deferral_id uuid not null,
  asset_id    uuid not null,
  task_key    text not null check (length(task_key) <= 80),
  from_at     timestamptz not null,
  until_day   date not null,
  until_use   jsonb not null check (jsonb_typeof(until_use) = 'object'),
  approver    text not null check (length(approver) between 1 and 200),
  restriction text not null check (length(restriction) <= 2000),
  reason      text not null check (length(reason) between 1 and 2000),
  recorded_by text not null,
  recorded_at timestamptz not null,
  ended_at    timestamptz,
  primary key (fleet_id, deferral_id),
  foreign key (fleet_id, asset_id) references liftwright.asset
);
create index task_deferral_by_task on liftwright.task_deferral (fleet_id, asset_id, task_key);

-- The last assessment of one task of one asset. `assessment` is the whole answer of the domain,
-- the columns are what lists filter and order by.
create table liftwright.upkeep_state (
  fleet_id    int not null,
  asset_id    uuid not null,
  task_key    text not null,
  unit_id     uuid not null,
  status      text not null check (status in ('ahead', 'in_window', 'overrun', 'unknown')),
  full_on     date,
  assessment  jsonb not null,
  assessed_at timestamptz not null,
  primary key (fleet_id, asset_id, task_key),
  foreign key (fleet_id, asset_id) references liftwright.asset
) with (fillfactor = 70);
create index upkeep_state_by_unit on liftwright.upkeep_state (fleet_id, unit_id);

-- One row a unit: its place on the bring-in list. rank 0 is the most pressing.
create table liftwright.unit_standing (
  fleet_id      int not null,
  unit_id       uuid not null,
  shard         smallint not null,
  yard_id       uuid,
  status        text not null check (status in ('ahead', 'in_window', 'overrun', 'unknown')),
  rank          smallint not null,
  -- The day that orders units of one rank; 'infinity' when nothing is in sight.
  press_on      date not null,
  reasons       jsonb not null,
  assessed_at   timestamptz not null,
  next_check_at timestamptz,
  primary key (fleet_id, unit_id),
  foreign key (fleet_id, unit_id) references liftwright.unit
) with (fillfactor = 70);
create index unit_standing_pressing on liftwright.unit_standing (fleet_id, rank, press_on, unit_id);
create index unit_standing_next_check on liftwright.unit_standing (next_check_at, shard)
  where next_check_at is not null;

-- What was voided stays voided, and what was ended stays ended.
create function liftwright.keep_voided() returns trigger
  language plpgsql
  as $$
  begin
    if old.voided_at is not null then
      raise exception 'a voided record stays voided' using errcode = '23001';
    end if;
    return new;
  end
  $$;
create function liftwright.keep_ended() returns trigger
  language plpgsql
  as $$
  begin
    if old.ended_at is not null then
      raise exception 'an ended deferral stays ended' using errcode = '23001';
    end if;
    return new;
  end
  $$;
revoke all on function liftwright.keep_voided(), liftwright.keep_ended() from public;
create trigger keep_voided before update on liftwright.task_done
  for each row execute function liftwright.keep_voided();
create trigger keep_ended before update on liftwright.task_deferral
  for each row execute function liftwright.keep_ended();

select liftwright.guard(t) from unnest(array[
  'liftwright.task_done', 'liftwright.task_deferral', 'liftwright.upkeep_state',
  'liftwright.unit_standing']::regclass[]) t;

grant select, insert on liftwright.task_done, liftwright.task_deferral to lw_app;
grant update (void_reason, voided_by, voided_at) on liftwright.task_done to lw_app;
grant update (ended_at) on liftwright.task_deferral to lw_app;
grant select, insert, update, delete on liftwright.upkeep_state, liftwright.unit_standing to lw_app;

create policy scheduler_sees_work on liftwright.unit_standing for select to lw_scheduler using (true);
grant select (fleet_id, unit_id, shard, next_check_at) on liftwright.unit_standing to lw_scheduler;

-- Looked-up use: grains of an asset's meter on the local day of an instant, up to that instant. A
-- projection, dropped by the fold whenever it touches that day.
create table liftwright.use_until (
  fleet_id    int not null,
  asset_id    uuid not null,
  meter       text not null,
  at_ms       bigint not null,
  day         date not null,
  grains      bigint not null check (grains >= 0),
  primary key (fleet_id, asset_id, meter, at_ms),
  foreign key (fleet_id, asset_id) references liftwright.asset
);
create index use_until_by_day on liftwright.use_until (fleet_id, asset_id, meter, day);
select liftwright.guard('liftwright.use_until');
grant select, insert, delete on liftwright.use_until to lw_app;
