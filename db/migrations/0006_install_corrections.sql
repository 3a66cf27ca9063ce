-- Installs corrected afterwards, a person's choice of meter source, and use that nobody measured.

-- What an install said before, what it says since, who said so and why. Append-only. An install
-- that never was is taken away; it is known from here alone, so nothing refers to its row.
create table liftwright.install_correction (
  fleet_id      int not null references liftwright.fleet,
  correction_id uuid not null,
  install_id    uuid not null,
  kind          text not null check (kind in ('changed', 'ended', 'moved', 'swapped', 'withdrawn')),
  asset_id      uuid,
  gateway_id    uuid,
  unit_id       uuid not null,
  during        tstzrange not null check (liftwright.is_span(during)),
  note          text check (length(note) <= 2000),
  installed_at  timestamptz not null,
  new_unit_id   uuid,
  new_during    tstzrange check (liftwright.is_span(new_during)),
  new_note      text check (length(new_note) <= 2000),
  reason        text not null check (length(reason) between 1 and 2000),
  recorded_by   text not null,
  recorded_at   timestamptz not null,
  primary key (fleet_id, correction_id),
  check (num_nonnulls(asset_id, gateway_id) = 1),
  check (num_nonnulls(new_unit_id, new_during) = case kind when 'withdrawn' then 0 else 2 end),
  foreign key (fleet_id, unit_id) references liftwright.unit,
  foreign key (fleet_id, new_unit_id) references liftwright.unit,
  foreign key (fleet_id, asset_id) references liftwright.asset,
  foreign key (fleet_id, gateway_id) references liftwright.gateway
);
create index install_correction_by_install
  on liftwright.install_correction (fleet_id, install_id, correction_id);

-- Where two counters could count for an asset's meter: which one shall, from-to. Where choices
-- overlap the later one holds.
create table liftwright.meter_source_choice (
  fleet_id    int not null,
  choice_id   uuid not null,
  asset_id    uuid not null,
  meter       text not null,
  counter_id  bigint not null,
  line_id     bigint not null,
  during      tstzrange not null check (liftwright.is_span(during)),
  reason      text not null check (length(reason) between 1 and 2000),
  recorded_by text not null,
  recorded_at timestamptz not null,
  void_reason text check (length(void_reason) between 1 and 2000),
  voided_by   text,
  voided_at   timestamptz,
  primary key (fleet_id, choice_id),
  check (num_nonnulls(void_reason, voided_by, voided_at) in (0, 3)),
  foreign key (fleet_id, asset_id) references liftwright.asset,
  foreign key (fleet_id, counter_id) references liftwright.counter,
  foreign key (fleet_id, line_id) references liftwright.fold_line
);
create index meter_source_choice_by_asset on liftwright.meter_source_choice (fleet_id, asset_id);
create trigger keep_voided before update on liftwright.meter_source_choice
  for each row execute function liftwright.keep_voided();

-- Where a line began to count without knowing what was used before: a projection of its verdicts.
-- The position is that of the reading from which it counts. `from_at` null: the line's beginning.
create table liftwright.line_gap (
  fleet_id    int not null,
  line_id     bigint not null,
  ordinal     int not null,
  seq         bigint not null,
  cause       text not null check (cause in
                ('before_first_reading', 'controller_replaced', 'rebase')),
  from_at     timestamptz,
  to_at       timestamptz not null,
  primary key (fleet_id, line_id, ordinal, seq),
  check ((cause = 'before_first_reading') = (from_at is null)),
  foreign key (fleet_id, line_id) references liftwright.fold_line
);

-- Why a line is folded anew or a unit assessed, when it was no reading: [{what, ...}]. What is said
-- of the unit then says the cause.
alter table liftwright.line_mark add column causes jsonb not null default '[]'
  check (jsonb_typeof(causes) = 'array');
alter table liftwright.unit_mark add column causes jsonb not null default '[]'
  check (jsonb_typeof(causes) = 'array');
-- Units wait with what they say until the lines that a correction moved are folded anew.
create index line_mark_whole on liftwright.line_mark (fleet_id, line_id) where kind = 'whole';

select liftwright.guard(t) from unnest(array[
  'liftwright.install_correction', 'liftwright.meter_source_choice',
  'liftwright.line_gap']::regclass[]) t;

grant select, insert on liftwright.install_correction, liftwright.meter_source_choice to lw_app;
grant update (void_reason, voided_by, voided_at) on liftwright.meter_source_choice to lw_app;
grant select, insert, update, delete on liftwright.line_gap to lw_app;
