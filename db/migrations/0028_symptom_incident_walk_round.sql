-- What drivers tell: symptoms, incidents, and what they see on their walk round a unit.

-- A symptom of a unit, or of an asset of it; then it goes with the asset. The same one told again
-- while it is open joins it. Open symptoms of one word are one, but for `other`.
create table liftwright.symptom (
  fleet_id         int not null,
  symptom_id       uuid not null,
  unit_id          uuid not null,
  asset_id         uuid,
  symptom          text not null check (length(symptom) between 1 and 40),
  words            text not null check (length(words) <= 2000),
  -- As told last.
  load_on_hook     boolean not null,
  reports          int not null check (reports >= 1),
  state            text not null check (state in ('told', 'on_card', 'mended', 'unnecessary')),
  card_id          uuid,
  -- The closed one that it is again.
  came_back_of     uuid,
  noticed_at       timestamptz not null,
  told_at          timestamptz not null,
  last_told_at     timestamptz not null,
  closed_at        timestamptz,
  closed_words     text check (length(closed_words) <= 2000),
  closed_by_person uuid,
  closed_by_key    uuid,
  closed_by_name   text check (length(closed_by_name) <= 200),
  primary key (fleet_id, symptom_id),
  check ((state in ('mended', 'unnecessary')) = (closed_at is not null)),
  check (num_nonnulls(closed_at, closed_words, closed_by_person, closed_by_key, closed_by_name)
    in (0, 5)),
  check (state <> 'on_card' or card_id is not null),
  foreign key (fleet_id, unit_id) references liftwright.unit,
  foreign key (fleet_id, asset_id) references liftwright.asset,
  foreign key (fleet_id, came_back_of) references liftwright.symptom,
  foreign key (fleet_id, closed_by_person) references liftwright.person
);
create index symptom_by_unit on liftwright.symptom (fleet_id, unit_id, symptom_id);
create index symptom_by_asset on liftwright.symptom (fleet_id, asset_id, symptom_id);
create index symptom_by_card on liftwright.symptom (fleet_id, card_id) where card_id is not null;
create index symptom_open on liftwright.symptom (fleet_id, symptom_id) where closed_at is null;
create unique index symptom_open_once on liftwright.symptom (fleet_id, asset_id, symptom)
  where closed_at is null and asset_id is not null and symptom <> 'other';
create unique index symptom_open_once_of_unit on liftwright.symptom (fleet_id, unit_id, symptom)
  where closed_at is null and asset_id is null and symptom <> 'other';

-- Each time that it was told, and by whom. Append-only.
create table liftwright.symptom_report (
  fleet_id     int not null,
  report_id    uuid not null,
  symptom_id   uuid not null,
  unit_id      uuid not null,
  load_on_hook boolean not null,
  words        text not null check (length(words) <= 2000),
  noticed_at   timestamptz not null,
  by_person    uuid,
  by_key       uuid not null,
  by_name      text not null check (length(by_name) <= 200),
  recorded_at  timestamptz not null,
  primary key (fleet_id, report_id),
  foreign key (fleet_id, symptom_id) references liftwright.symptom,
  foreign key (fleet_id, unit_id) references liftwright.unit,
  foreign key (fleet_id, by_person) references liftwright.person
);
create index symptom_report_by_symptom
  on liftwright.symptom_report (fleet_id, symptom_id, report_id);

-- What happened to a unit, after which it is inspected in full before it is used.
create table liftwright.incident (
  fleet_id         int not null,
  incident_id      uuid not null,
  unit_id          uuid not null,
  kind             text not null check (kind in ('collision', 'overload', 'shock_load', 'drop')),
  words            text not null check (length(words) <= 2000),
  load_on_hook     boolean not null,
  happened_at      timestamptz not null,
  told_at          timestamptz not null,
  by_person        uuid,
  by_key           uuid not null,
  by_name          text not null check (length(by_name) <= 200),
  state            text not null check (state in ('told', 'on_card', 'mended', 'unnecessary')),
  card_id          uuid,
  closed_at        timestamptz,
  closed_words     text check (length(closed_words) <= 2000),
  closed_by_person uuid,
  closed_by_key    uuid,
  closed_by_name   text check (length(closed_by_name) <= 200),
  primary key (fleet_id, incident_id),
  check ((state in ('mended', 'unnecessary')) = (closed_at is not null)),
  check (num_nonnulls(closed_at, closed_words, closed_by_person, closed_by_key, closed_by_name)
    in (0, 5)),
  check (state <> 'on_card' or card_id is not null),
  foreign key (fleet_id, unit_id) references liftwright.unit,
  foreign key (fleet_id, by_person) references liftwright.person,
  foreign key (fleet_id, closed_by_person) references liftwright.person
);
create index incident_by_unit on liftwright.incident (fleet_id, unit_id, incident_id);
create index incident_by_card on liftwright.incident (fleet_id, card_id) where card_id is not null;
create index incident_open on liftwright.incident (fleet_id, incident_id) where closed_at is null;

-- The stops that something set, and that stand.
create index stop_by_cause on liftwright.stop (fleet_id, cause_id)
  where cause_id is not null and state <> 'cleared';

-- A driver's walk round a unit before or after a shift, signed. One with defects waits until they
-- are certified, and then for the next driver's review.
create table liftwright.walk_round (
  fleet_id           int not null,
  walk_round_id      uuid not null,
  unit_id            uuid not null,
  shift              text not null check (shift in ('before', 'after')),
  defects            int not null check (defects >= 0),
  walked_at          timestamptz not null,
  by_person          uuid not null,
  by_key             uuid not null,
  by_name            text not null check (length(by_name) <= 200),
  via                text not null check (via in ('pin', 'sign_in')),
  recorded_at        timestamptz not null,
  reviewed_at        timestamptz,
  reviewed_by_person uuid,
  reviewed_by_key    uuid,
  reviewed_by_name   text check (length(reviewed_by_name) <= 200),
  primary key (fleet_id, walk_round_id),
  check (num_nonnulls(reviewed_at, reviewed_by_person, reviewed_by_key, reviewed_by_name)
    in (0, 4)),
  foreign key (fleet_id, unit_id) references liftwright.unit,
  foreign key (fleet_id, by_person) references liftwright.person,
  foreign key (fleet_id, reviewed_by_person) references liftwright.person
);
create index walk_round_by_unit on liftwright.walk_round (fleet_id, unit_id, walk_round_id);
create index walk_round_waits on liftwright.walk_round (fleet_id, unit_id)
  where defects > 0 and reviewed_at is null;

-- A defect that was seen. Certified by whom it says, or with the finding that it joined.
create table liftwright.walk_defect (
  fleet_id            int not null,
  defect_id           uuid not null,
  walk_round_id       uuid not null,
  unit_id             uuid not null,
  item                text not null check (length(item) between 1 and 40),
  words               text not null check (length(words) <= 2000),
  affects_safety      boolean not null,
  finding_id          uuid not null,
  certified           text check (certified in ('repaired', 'unnecessary')),
  certified_words     text check (length(certified_words) between 1 and 2000),
  certified_card      uuid,
  certified_at        timestamptz,
  certified_by_person uuid,
  certified_by_key    uuid,
  certified_by_name   text check (length(certified_by_name) <= 200),
  primary key (fleet_id, defect_id),
  unique (fleet_id, walk_round_id, item),
  check (num_nonnulls(certified, certified_words, certified_at, certified_by_person,
    certified_by_key, certified_by_name) in (0, 6)),
  foreign key (fleet_id, walk_round_id) references liftwright.walk_round,
  foreign key (fleet_id, unit_id) references liftwright.unit,
  foreign key (fleet_id, finding_id) references liftwright.finding,
  foreign key (fleet_id, certified_by_person) references liftwright.person
);
create index walk_defect_by_finding on liftwright.walk_defect (fleet_id, finding_id);

-- What a person put a name to stays as it was signed.
create function liftwright.keep_certified() returns trigger
  language plpgsql
  as $$
  begin
    if old.certified_at is not null then
      raise exception 'a certified defect stays certified' using errcode = '23001';
    end if;
    return new;
  end
  $$;
create function liftwright.keep_reviewed() returns trigger
  language plpgsql
  as $$
  begin
    if old.reviewed_at is not null then
      raise exception 'a reviewed walk-round stays reviewed' using errcode = '23001';
    end if;
    return new;
  end
  $$;
revoke all on function liftwright.keep_certified(), liftwright.keep_reviewed() from public;
create trigger keep_closed before update on liftwright.symptom
  for each row execute function liftwright.keep_closed();
create trigger keep_closed before update on liftwright.incident
  for each row execute function liftwright.keep_closed();
create trigger keep_certified before update on liftwright.walk_defect
  for each row execute function liftwright.keep_certified();
create trigger keep_reviewed before update on liftwright.walk_round
  for each row execute function liftwright.keep_reviewed();

select liftwright.guard(t) from unnest(array[
  'liftwright.symptom', 'liftwright.symptom_report', 'liftwright.incident',
  'liftwright.walk_round', 'liftwright.walk_defect']::regclass[]) t;

grant select, insert on liftwright.symptom, liftwright.symptom_report, liftwright.incident,
  liftwright.walk_round, liftwright.walk_defect to lw_app;
grant update (load_on_hook, reports, state, card_id, last_told_at, closed_at, closed_words,
  closed_by_person, closed_by_key, closed_by_name) on liftwright.symptom to lw_app;
grant update (state, card_id, closed_at, closed_words, closed_by_person, closed_by_key,
  closed_by_name) on liftwright.incident to lw_app;
grant update (reviewed_at, reviewed_by_person, reviewed_by_key, reviewed_by_name)
  on liftwright.walk_round to lw_app;
grant update (certified, certified_words, certified_card, certified_at, certified_by_person,
  certified_by_key, certified_by_name) on liftwright.walk_defect to lw_app;
