-- What takes a unit away from dispatch, what was found on it, and what dispatch relied on.

-- What was found at one place of an asset, or on the unit where no asset is named. A finding goes
-- with its asset; `unit_id` is where it was found. The same fault told again joins the open finding.
create table liftwright.finding (
  fleet_id    int not null references liftwright.fleet,
  finding_id  uuid not null,
  unit_id     uuid not null,
  asset_id    uuid,
  point_key   text check (length(point_key) between 1 and 80),
  part        text check (length(part) between 1 and 120),
  grade       text not null check (grade in ('sound', 'keep_watch', 'mend_by', 'unfit')),
  words       text not null check (length(words) <= 2000),
  -- What the place serves, as it was when it was found.
  functions   text[] not null
                check (functions <@ array['wheel_lift', 'winch', 'boom', 'dollies', 'road']),
  mend_by_day date,
  -- {meter: grains that may be used after it was graded}
  mend_by_use jsonb not null check (jsonb_typeof(mend_by_use) = 'object'),
  reports     int not null check (reports >= 1),
  found_at    timestamptz not null,
  graded_at   timestamptz not null,
  closed_at   timestamptz,
  closed_how  text check (closed_how in ('sound', 'mended', 'withdrawn', 'superseded')),
  closed_words text check (length(closed_words) <= 2000),
  closed_by_person uuid,
  closed_by_key uuid,
  closed_by_name text check (length(closed_by_name) <= 200),
  card_id     uuid,
  primary key (fleet_id, finding_id),
  check ((closed_at is null) = (closed_how is null)),
  check ((grade = 'sound') = coalesce(closed_how = 'sound', false)),
  check (grade <> 'mend_by' or mend_by_day is not null or mend_by_use <> '{}'),
  foreign key (fleet_id, unit_id) references liftwright.unit,
  foreign key (fleet_id, asset_id) references liftwright.asset,
  foreign key (fleet_id, closed_by_person) references liftwright.person
);
create index finding_by_unit on liftwright.finding (fleet_id, unit_id, finding_id);
create index finding_by_asset on liftwright.finding (fleet_id, asset_id, finding_id);
create index finding_open on liftwright.finding (fleet_id, unit_id) where closed_at is null;

-- Each time that it was told, and by whom. Append-only.
create table liftwright.finding_report (
  fleet_id    int not null,
  report_id   uuid not null,
  finding_id  uuid not null,
  grade       text not null check (grade in ('sound', 'keep_watch', 'mend_by', 'unfit')),
  words       text not null check (length(words) <= 2000),
  source      text not null
                check (source in ('step', 'symptom', 'incident', 'walk_round', 'measurement', 'person')),
  source_id   text check (length(source_id) between 1 and 80),
  by_person   uuid,
  by_key      uuid not null,
  by_name     text not null check (length(by_name) <= 200),
  recorded_at timestamptz not null,
  primary key (fleet_id, report_id),
  foreign key (fleet_id, finding_id) references liftwright.finding,
  foreign key (fleet_id, by_person) references liftwright.person
);
create index finding_report_by_finding
  on liftwright.finding_report (fleet_id, finding_id, report_id);

-- What takes readiness away. It goes with its asset; without one it is the unit's own.
create table liftwright.stop (
  fleet_id    int not null references liftwright.fleet,
  stop_id     uuid not null,
  unit_id     uuid not null,
  asset_id    uuid,
  finding_id  uuid,
  kind        text not null check (kind in ('work_lock', 'defect', 'officer', 'restriction')),
  effect      text not null check (effect in ('limited', 'no')),
  functions   text[] not null
                check (functions <@ array['wheel_lift', 'winch', 'boom', 'dollies', 'road']
                  and cardinality(functions) > 0),
  -- What is still allowed where the effect is limited; see domain/shop/limit.ts.
  limits      jsonb not null check (jsonb_typeof(limits) = 'object'),
  effective   text not null check (effective in ('at_once', 'after_drop')),
  state       text not null check (state in ('waits_for_drop', 'standing', 'cleared')),
  reason      text not null check (length(reason) between 1 and 2000),
  cause_kind  text check (length(cause_kind) between 1 and 40),
  cause_id    text check (length(cause_id) between 1 and 80),
  -- A restriction ends then; of the others it is only expected.
  until_at    timestamptz,
  placed_at   timestamptz not null,
  placed_by_person uuid,
  placed_by_key uuid not null,
  placed_by_name text not null check (length(placed_by_name) <= 200),
  dropped_at  timestamptz,
  cleared_at  timestamptz,
  primary key (fleet_id, stop_id),
  check ((state = 'cleared') = (cleared_at is not null)),
  check (kind <> 'work_lock' or (effective = 'at_once' and effect = 'no'
    and placed_by_person is not null)),
  foreign key (fleet_id, unit_id) references liftwright.unit,
  foreign key (fleet_id, asset_id) references liftwright.asset,
  foreign key (fleet_id, finding_id) references liftwright.finding,
  foreign key (fleet_id, placed_by_person) references liftwright.person
);
create index stop_by_unit on liftwright.stop (fleet_id, unit_id, stop_id);
create index stop_by_asset on liftwright.stop (fleet_id, asset_id, stop_id);
create index stop_open on liftwright.stop (fleet_id, unit_id) where state <> 'cleared';
create index stop_by_finding on liftwright.stop (fleet_id, finding_id) where finding_id is not null;

-- Everything that was done with a stop, from setting it on. Append-only.
create table liftwright.stop_act (
  fleet_id    int not null,
  act_id      uuid not null,
  stop_id     uuid not null,
  act         text not null check (act in ('set', 'dropped', 'hasten', 'extend', 'clear',
                'clear_by_procedure', 'clear_by_repair')),
  until_at    timestamptz,
  words       text not null check (length(words) <= 2000),
  by_person   uuid,
  by_key      uuid not null,
  by_name     text not null check (length(by_name) <= 200),
  recorded_at timestamptz not null,
  primary key (fleet_id, act_id),
  foreign key (fleet_id, stop_id) references liftwright.stop,
  foreign key (fleet_id, by_person) references liftwright.person
);
create index stop_act_by_stop on liftwright.stop_act (fleet_id, stop_id, act_id);

-- What dispatch sent a unit to do, and the number of the event that it relied on. Append-only.
create table liftwright.assignment (
  fleet_id    int not null references liftwright.fleet,
  assignment_id uuid not null,
  unit_id     uuid not null,
  functions   text[] not null
                check (functions <@ array['wheel_lift', 'winch', 'boom', 'dollies', 'road']
                  and cardinality(functions) > 0),
  relied_on   bigint not null check (relied_on >= 0),
  -- The last event that was numbered when it was logged, and what readiness said then.
  last_event  bigint not null,
  answers     jsonb not null check (jsonb_typeof(answers) = 'object'),
  changed     boolean not null,
  reference   text check (length(reference) between 1 and 200),
  note        text check (length(note) <= 2000),
  by_person   uuid,
  by_key      uuid not null,
  by_name     text not null check (length(by_name) <= 200),
  assigned_at timestamptz not null,
  recorded_at timestamptz not null,
  primary key (fleet_id, assignment_id),
  foreign key (fleet_id, unit_id) references liftwright.unit,
  foreign key (fleet_id, by_person) references liftwright.person
);
create index assignment_by_unit on liftwright.assignment (fleet_id, unit_id, assignment_id);

-- A restriction of a deferral limits readiness while it runs.
alter table liftwright.task_deferral
  add column effect text not null default 'none' check (effect in ('none', 'limited', 'no')),
  add column functions text[] not null default '{}'
    check (functions <@ array['wheel_lift', 'winch', 'boom', 'dollies', 'road']),
  add column limits jsonb not null default '{}' check (jsonb_typeof(limits) = 'object'),
  add column approver_person uuid,
  add foreign key (fleet_id, approver_person) references liftwright.person;
create index task_deferral_running on liftwright.task_deferral (fleet_id, deferral_id)
  where ended_at is null;

-- Readiness reads only the tasks that may take something away.
create index upkeep_state_pressing on liftwright.upkeep_state (fleet_id, unit_id)
  where status in ('overrun', 'unknown');

-- What was cleared stays cleared, and what was closed stays closed.
create function liftwright.keep_cleared() returns trigger
  language plpgsql
  as $$
  begin
    if old.cleared_at is not null then
      raise exception 'a cleared stop stays cleared' using errcode = '23001';
    end if;
    return new;
  end
  $$;
create function liftwright.keep_closed() returns trigger
  language plpgsql
  as $$
  begin
    if old.closed_at is not null then
      raise exception 'a closed finding stays closed' using errcode = '23001';
    end if;
    return new;
  end
  $$;
revoke all on function liftwright.keep_cleared(), liftwright.keep_closed() from public;
create trigger keep_cleared before update on liftwright.stop
  for each row execute function liftwright.keep_cleared();
create trigger keep_closed before update on liftwright.finding
  for each row execute function liftwright.keep_closed();

select liftwright.guard(t) from unnest(array[
  'liftwright.finding', 'liftwright.finding_report', 'liftwright.stop', 'liftwright.stop_act',
  'liftwright.assignment']::regclass[]) t;

grant select, insert on liftwright.finding, liftwright.finding_report, liftwright.stop,
  liftwright.stop_act, liftwright.assignment to lw_app;
grant update (grade, words, functions, mend_by_day, mend_by_use, reports, graded_at, closed_at,
  closed_how, closed_words, closed_by_person, closed_by_key, closed_by_name, card_id)
  on liftwright.finding to lw_app;
grant update (state, until_at, dropped_at, cleared_at) on liftwright.stop to lw_app;
