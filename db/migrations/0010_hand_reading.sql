-- Meters read by people: the only source of a unit without a gateway, a check of one that has one.

-- The line of readings by hand of an asset's meter; at most one, made with the first reading.
create table liftwright.hand_line (
  fleet_id    int not null,
  asset_id    uuid not null,
  meter       text not null,
  line_id     bigint not null,
  primary key (fleet_id, asset_id, meter),
  unique (fleet_id, line_id),
  foreign key (fleet_id, asset_id) references liftwright.asset,
  foreign key (fleet_id, line_id) references liftwright.fold_line
);

-- What a person read off a dial, in grains. Never changed, but may be voided.
create table liftwright.hand_reading (
  fleet_id          int not null,
  reading_id        uuid not null,
  asset_id          uuid not null,
  meter             text not null,
  line_id           bigint not null,
  at                timestamptz not null,
  grains            bigint not null check (grains between 0 and 9007199254740991),
  -- The step of the dial.
  resolution_grains int not null check (resolution_grains >= 1),
  -- A new dial, which shows its own count from here on.
  meter_replaced    boolean not null,
  read_by           text not null check (length(read_by) between 1 and 200),
  note              text check (length(note) <= 2000),
  recorded_by       text not null,
  recorded_at       timestamptz not null,
  void_reason       text check (length(void_reason) between 1 and 2000),
  voided_by         text check (length(voided_by) between 1 and 200),
  voided_at         timestamptz,
  primary key (fleet_id, reading_id),
  check (num_nonnulls(void_reason, voided_by, voided_at) in (0, 3)),
  foreign key (fleet_id, asset_id, meter) references liftwright.hand_line,
  foreign key (fleet_id, line_id) references liftwright.fold_line
);
-- A dial shows one value at a time; the fold takes the readings in this order.
create unique index hand_reading_in_force
  on liftwright.hand_reading (fleet_id, line_id, at) where voided_at is null;
create index hand_reading_by_asset on liftwright.hand_reading (fleet_id, asset_id, reading_id);
create trigger keep_voided before update on liftwright.hand_reading
  for each row execute function liftwright.keep_voided();

select liftwright.guard(t) from unnest(array[
  'liftwright.hand_line', 'liftwright.hand_reading']::regclass[]) t;

grant select, insert on liftwright.hand_line, liftwright.hand_reading to lw_app;
grant update (void_reason, voided_by, voided_at) on liftwright.hand_reading to lw_app;
