-- Usage: what the fold makes of the readings. Everything here but usage_entry is a projection and
-- can be rebuilt.

-- The fold's checkpoints: about one a line and UTC day, each with the state at its end, and what
-- just this stretch gave (shares of use, verdicts). The last one of a line is its head. See
-- src/domain/usage/segment.ts for the shapes.
create table liftwright.fold_segment (
  fleet_id      int not null,
  line_id       bigint not null,
  start_ordinal int not null,
  start_seq     bigint not null,
  end_ordinal   int not null,
  end_seq       bigint not null,
  utc_day       int not null,
  readings      bigint not null,
  state         jsonb not null,
  -- [[asset id, day, grains], ...]
  shares        jsonb not null,
  verdicts      jsonb not null,
  unlisted      int not null,
  -- The days of the shares, for finding the segments that a day's use comes from.
  first_day     date,
  last_day      date,
  primary key (fleet_id, line_id, start_ordinal, start_seq),
  foreign key (fleet_id, line_id) references liftwright.fold_line
) with (fillfactor = 80);
create index fold_segment_by_day on liftwright.fold_segment (fleet_id, line_id, last_day);

-- Use of an asset's meter on one local day, by the line that counted it.
create table liftwright.usage_day (
  fleet_id    int not null,
  asset_id    uuid not null,
  meter       text not null,
  day         date not null,
  line_id     bigint not null,
  grains      bigint not null check (grains >= 0),
  primary key (fleet_id, asset_id, meter, day, line_id),
  foreign key (fleet_id, asset_id) references liftwright.asset
) with (fillfactor = 80);
create index usage_day_by_line on liftwright.usage_day (fleet_id, line_id, day);

-- How far a line is known: its last accepted value and when it was read. `provisional` are shares
-- of use shown by a reading whose time is not trusted yet; they count until the next one that is.
create table liftwright.line_progress (
  fleet_id      int not null,
  line_id       bigint not null,
  last_at       timestamptz,
  last_raw      bigint,
  provisional   jsonb not null,
  -- Whether the last readings are set aside, so that the last accepted one is not the last word.
  in_doubt      boolean not null,
  folded_at     timestamptz not null,
  primary key (fleet_id, line_id),
  foreign key (fleet_id, line_id) references liftwright.fold_line
) with (fillfactor = 70);

-- Append-only: adjustments, decisions on readings set aside, changes to closed days.
create table liftwright.usage_entry (
  fleet_id    int not null,
  entry_id    bigint generated always as identity,
  asset_id    uuid not null,
  meter       text not null,
  day         date not null,
  kind        text not null check (kind in ('closed_day_changed', 'adjustment', 'decision')),
  grains      bigint not null,
  reason      text not null check (length(reason) <= 2000),
  recorded_by text,
  recorded_at timestamptz not null,
  primary key (fleet_id, entry_id),
  foreign key (fleet_id, asset_id) references liftwright.asset
);
create index usage_entry_by_day on liftwright.usage_entry (fleet_id, asset_id, meter, day);

-- Insert-only marks: this unit must be assessed.
create table liftwright.unit_mark (
  fleet_id    int not null,
  mark_id     bigint generated always as identity,
  shard       smallint not null,
  unit_id     uuid not null,
  recorded_at timestamptz not null,
  primary key (fleet_id, mark_id)
);
create index unit_mark_by_shard on liftwright.unit_mark (shard, fleet_id, unit_id);
create index unit_mark_by_unit on liftwright.unit_mark (fleet_id, unit_id);

select liftwright.guard(t) from unnest(array[
  'liftwright.fold_segment', 'liftwright.usage_day',
  'liftwright.line_progress', 'liftwright.usage_entry', 'liftwright.unit_mark']::regclass[]) t;

grant select, insert, update, delete on liftwright.fold_segment, liftwright.usage_day,
  liftwright.line_progress to lw_app;
grant select, insert on liftwright.usage_entry to lw_app;
grant select, insert, delete on liftwright.unit_mark to lw_app;

create policy scheduler_sees_work on liftwright.unit_mark for select to lw_scheduler using (true);
grant select (fleet_id, mark_id, shard, unit_id, recorded_at) on liftwright.unit_mark to lw_scheduler;
