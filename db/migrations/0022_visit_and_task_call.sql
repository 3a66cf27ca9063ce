-- Visits to the shop, and tasks that something calls due now.

-- A unit in a bay of a yard, from-to, as agreed with dispatch. A bay holds one unit at a time, and a
-- unit is in one bay at a time; cancelled visits hold nothing.
create table liftwright.visit (
  fleet_id       int not null,
  visit_id       uuid not null,
  unit_id        uuid not null,
  yard_id        uuid not null,
  bay            text not null check (bay <> '' and length(bay) <= 40),
  during         tstzrange not null check (liftwright.is_span(during) and not upper_inf(during)),
  -- What dispatch agreed to: from when it can do without the unit, and when it wants it back.
  can_spare_from timestamptz,
  back_by        timestamptz,
  -- Who agreed for dispatch; null while nobody has.
  agreed_by      text check (length(agreed_by) between 1 and 200),
  note           text check (length(note) <= 2000),
  recorded_by    text not null,
  created_at     timestamptz not null,
  cancel_reason  text check (length(cancel_reason) between 1 and 2000),
  cancelled_by   text,
  cancelled_at   timestamptz,
  primary key (fleet_id, visit_id),
  check (can_spare_from <= lower(during)),
  check (back_by >= upper(during)),
  check (num_nonnulls(cancel_reason, cancelled_by, cancelled_at) in (0, 3)),
  foreign key (fleet_id, unit_id) references liftwright.unit,
  foreign key (fleet_id, yard_id) references liftwright.yard,
  constraint visit_bay_free exclude using gist
    (fleet_id with =, yard_id with =, lower(bay) with =, during with &&)
    where (cancelled_at is null),
  constraint visit_unit_once exclude using gist
    (fleet_id with =, unit_id with =, during with &&) where (cancelled_at is null)
);
create index visit_by_time on liftwright.visit (fleet_id, lower(during), visit_id);
create index visit_by_unit on liftwright.visit (fleet_id, unit_id, lower(during));

-- Something calls a task of an asset due now, whatever its meters say. It stays called until it is
-- done after that. Never changed, but may be withdrawn.
create table liftwright.task_call (
  fleet_id        int not null,
  call_id         uuid not null,
  asset_id        uuid not null,
  task_key        text not null check (length(task_key) between 1 and 80),
  called_at       timestamptz not null,
  cause           text not null
                    check (cause in ('symptom', 'incident', 'walk_round', 'intake', 'person')),
  cause_id        uuid,
  -- The word of the closed list that stands for the cause, such as a symptom's.
  what            text check (length(what) between 1 and 80),
  -- A person's own words.
  words           text check (length(words) between 1 and 2000),
  recorded_by     text not null,
  recorded_at     timestamptz not null,
  withdraw_reason text check (length(withdraw_reason) between 1 and 2000),
  withdrawn_by    text,
  withdrawn_at    timestamptz,
  primary key (fleet_id, call_id),
  check (num_nonnulls(withdraw_reason, withdrawn_by, withdrawn_at) in (0, 3)),
  foreign key (fleet_id, asset_id) references liftwright.asset
);
create index task_call_by_task on liftwright.task_call (fleet_id, asset_id, task_key, called_at)
  where withdrawn_at is null;
create index task_call_by_asset on liftwright.task_call (fleet_id, asset_id, call_id);
create index task_call_by_cause on liftwright.task_call (fleet_id, cause_id);

create function liftwright.keep_cancelled() returns trigger
  language plpgsql
  as $$
  begin
    if old.cancelled_at is not null then
      raise exception 'a cancelled visit stays cancelled' using errcode = '23001';
    end if;
    return new;
  end
  $$;
create function liftwright.keep_withdrawn() returns trigger
  language plpgsql
  as $$
  begin
    if old.withdrawn_at is not null then
      raise exception 'what was withdrawn stays withdrawn' using errcode = '23001';
    end if;
    return new;
  end
  $$;
revoke all on function liftwright.keep_cancelled(), liftwright.keep_withdrawn() from public;
create trigger keep_cancelled before update on liftwright.visit
  for each row execute function liftwright.keep_cancelled();
create trigger keep_withdrawn before update on liftwright.task_call
  for each row execute function liftwright.keep_withdrawn();

select liftwright.guard(t)
from unnest(array['liftwright.visit', 'liftwright.task_call']::regclass[]) t;

grant select, insert on liftwright.visit, liftwright.task_call to lw_app;
grant update (yard_id, bay, during, can_spare_from, back_by, agreed_by, note, cancel_reason,
  cancelled_by, cancelled_at) on liftwright.visit to lw_app;
grant update (withdraw_reason, withdrawn_by, withdrawn_at) on liftwright.task_call to lw_app;
