-- What is known of parts that wear: from fitted to removed, what was measured of them, what was
-- taken up. Nothing here is changed: what was wrong is corrected by a further entry, or withdrawn.

-- One part in one place of an asset; what is known of it stands in its entries.
create table liftwright.part_life (
  fleet_id    int not null,
  life_id     uuid not null,
  asset_id    uuid not null,
  part        text not null check (length(part) between 1 and 80),
  point_key   text not null check (length(point_key) between 1 and 80),
  -- Parts that were fitted together, such as both sides.
  set_id      uuid,
  recorded_at timestamptz not null,
  primary key (fleet_id, life_id),
  foreign key (fleet_id, asset_id) references liftwright.asset
);
create index part_life_by_place on liftwright.part_life (fleet_id, asset_id, part, point_key);

-- Everything that is known of a part, said anew with each entry: the last one holds. Use is in
-- grains by meter.
create table liftwright.part_life_entry (
  fleet_id            int not null,
  life_id             uuid not null,
  entry_no            int not null check (entry_no >= 1),
  kind                text not null check (kind in ('fitted', 'removed', 'corrected', 'voided')),
  fitted_at           timestamptz not null,
  prior_life          text not null check (prior_life in ('new', 'known', 'estimated', 'unknown')),
  prior_use           jsonb not null check (jsonb_typeof(prior_use) = 'object'),
  -- The life that it had elsewhere before.
  continues           uuid,
  maker_number        text check (length(maker_number) between 1 and 80),
  supplier            text check (length(supplier) between 1 and 200),
  lot                 text check (length(lot) between 1 and 80),
  warranty_until_day  date,
  warranty_until_use  jsonb not null check (jsonb_typeof(warranty_until_use) = 'object'),
  removed_at          timestamptz check (removed_at > fitted_at),
  removal_reason      text check (removal_reason in
                        ('worn', 'broken', 'precaution', 'recalled', 'moved')),
  moved_to            uuid,
  words               text check (length(words) between 1 and 2000),
  person_id           uuid,
  name                text not null check (length(name) between 1 and 200),
  recorded_by         text not null,
  recorded_at         timestamptz not null,
  primary key (fleet_id, life_id, entry_no),
  check ((removed_at is null) = (removal_reason is null)),
  check (kind not in ('corrected', 'voided') or words is not null),
  foreign key (fleet_id, life_id) references liftwright.part_life,
  foreign key (fleet_id, continues) references liftwright.part_life,
  foreign key (fleet_id, moved_to) references liftwright.part_life,
  foreign key (fleet_id, person_id) references liftwright.person
);

-- What was measured in one place: a size, or what a go/no-go gauge says. Sizes and their errors are
-- thousandths of the unit. What it was held against, and the use that was known then, stay with it.
create table liftwright.measurement (
  fleet_id            int not null,
  measurement_id      uuid not null,
  asset_id            uuid not null,
  point_key           text not null check (length(point_key) between 1 and 80),
  part                text check (length(part) between 1 and 80),
  at                  timestamptz not null,
  value               bigint check (value between 0 and 1000000000),
  unit                text check (unit in ('mm', 'in', 'nm', 'turns', 'percent')),
  error               bigint check (error between 0 and 1000000000),
  gauge               text check (gauge in ('go', 'near', 'no_go')),
  tool                text check (length(tool) between 1 and 200),
  wiped               boolean,
  temperature_tenths  int check (temperature_tenths between -1000 and 3000),
  note                text check (length(note) between 1 and 2000),
  verdict             text not null check (verdict in
                        ('sound', 'near_limit', 'beyond_limit', 'not_judged')),
  rule                text not null check (length(rule) between 1 and 80),
  nominal             bigint,
  near                bigint,
  limit_value         bigint,
  limit_unit          text check (limit_unit in ('mm', 'in', 'nm', 'turns', 'percent')),
  use_then            jsonb not null check (jsonb_typeof(use_then) = 'object'),
  -- The reading against which it seems to have grown back; a person must say which is right.
  questioned_against  uuid,
  finding_id          uuid,
  step_id             uuid,
  person_id           uuid,
  name                text not null check (length(name) between 1 and 200),
  recorded_by         text not null,
  recorded_at         timestamptz not null,
  primary key (fleet_id, measurement_id),
  check (num_nonnulls(value, gauge) = 1),
  check (num_nonnulls(value, unit, error) in (0, 3)),
  foreign key (fleet_id, asset_id) references liftwright.asset,
  foreign key (fleet_id, person_id) references liftwright.person,
  foreign key (fleet_id, finding_id) references liftwright.finding
);
create index measurement_by_place
  on liftwright.measurement (fleet_id, asset_id, point_key, part, at);
create index measurement_by_asset on liftwright.measurement (fleet_id, asset_id, measurement_id);

-- A person's word on a measurement: a questioned one is right, or one was wrong and counts no more.
create table liftwright.measurement_decision (
  fleet_id        int not null,
  measurement_id  uuid not null,
  decision        text not null check (decision in ('confirmed', 'withdrawn')),
  reason          text not null check (length(reason) between 1 and 2000),
  person_id       uuid,
  name            text not null check (length(name) between 1 and 200),
  recorded_by     text not null,
  recorded_at     timestamptz not null,
  primary key (fleet_id, measurement_id, decision),
  foreign key (fleet_id, measurement_id) references liftwright.measurement,
  foreign key (fleet_id, person_id) references liftwright.person
);

-- Tension that was taken up: thousandths of a turn, negative when let out, and the gap before and
-- after.
create table liftwright.take_up (
  fleet_id    int not null,
  take_up_id  uuid not null,
  asset_id    uuid not null,
  point_key   text not null check (length(point_key) between 1 and 80),
  part        text check (length(part) between 1 and 80),
  at          timestamptz not null,
  turns       int not null check (turns <> 0 and turns between -100000 and 100000),
  gap_before  bigint check (gap_before between 0 and 1000000000),
  gap_after   bigint check (gap_after between 0 and 1000000000),
  unit        text check (unit in ('mm', 'in')),
  error       bigint check (error between 0 and 1000000000),
  use_then    jsonb not null check (jsonb_typeof(use_then) = 'object'),
  note        text check (length(note) between 1 and 2000),
  person_id   uuid,
  name        text not null check (length(name) between 1 and 200),
  recorded_by text not null,
  recorded_at timestamptz not null,
  void_reason text check (length(void_reason) between 1 and 2000),
  voided_by   text check (length(voided_by) between 1 and 200),
  voided_at   timestamptz,
  primary key (fleet_id, take_up_id),
  check (num_nonnulls(void_reason, voided_by, voided_at) in (0, 3)),
  check ((unit is not null) = (num_nonnulls(gap_before, gap_after) > 0)),
  check ((unit is null) = (error is null)),
  foreign key (fleet_id, asset_id) references liftwright.asset,
  foreign key (fleet_id, person_id) references liftwright.person
);
create index take_up_by_asset on liftwright.take_up (fleet_id, asset_id, take_up_id);
create trigger keep_voided before update on liftwright.take_up
  for each row execute function liftwright.keep_voided();

-- A rope, chain, hook, sling or hose that was held against removal benchmarks: what was seen, what
-- was decided, and every rule that spoke.
create table liftwright.removal_check (
  fleet_id        int not null,
  check_id        uuid not null,
  asset_id        uuid not null,
  point_key       text not null check (length(point_key) between 1 and 80),
  at              timestamptz not null,
  subject         text not null check (subject in
                    ('rope', 'fibre_rope', 'chain', 'hook', 'sling', 'hose')),
  look            jsonb not null check (jsonb_typeof(look) = 'object'),
  decision        text not null check (decision in
                    ('keep', 'keep_watch', 'competent_person', 'remove')),
  fired           jsonb not null check (jsonb_typeof(fired) = 'array'),
  cut_off_may_cure boolean not null,
  use_then        jsonb not null check (jsonb_typeof(use_then) = 'object'),
  finding_id      uuid,
  step_id         uuid,
  note            text check (length(note) between 1 and 2000),
  person_id       uuid,
  name            text not null check (length(name) between 1 and 200),
  recorded_by     text not null,
  recorded_at     timestamptz not null,
  void_reason     text check (length(void_reason) between 1 and 2000),
  voided_by       text check (length(voided_by) between 1 and 200),
  voided_at       timestamptz,
  primary key (fleet_id, check_id),
  check (num_nonnulls(void_reason, voided_by, voided_at) in (0, 3)),
  foreign key (fleet_id, asset_id) references liftwright.asset,
  foreign key (fleet_id, person_id) references liftwright.person,
  foreign key (fleet_id, finding_id) references liftwright.finding
);
create index removal_check_by_asset on liftwright.removal_check (fleet_id, asset_id, check_id);
create trigger keep_voided before update on liftwright.removal_check
  for each row execute function liftwright.keep_voided();

select liftwright.guard(t) from unnest(array[
  'liftwright.part_life', 'liftwright.part_life_entry', 'liftwright.measurement',
  'liftwright.measurement_decision', 'liftwright.take_up',
  'liftwright.removal_check']::regclass[]) t;

grant select, insert on liftwright.part_life, liftwright.part_life_entry, liftwright.measurement,
  liftwright.measurement_decision, liftwright.take_up, liftwright.removal_check to lw_app;
grant update (void_reason, voided_by, voided_at) on liftwright.take_up, liftwright.removal_check
  to lw_app;
