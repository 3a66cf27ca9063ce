-- An asset moves to another version of its pattern, or to another pattern, by somebody's choice.
-- What it followed before is kept here; the versions themselves never change.
create table liftwright.pattern_move (
  fleet_id        int not null,
  move_id         uuid not null,
  asset_id        uuid not null,
  -- Null: it followed none before.
  from_pattern_id uuid,
  from_version    int,
  pattern_id      uuid not null,
  version         int not null,
  moved_at        timestamptz not null,
  recorded_by     text not null check (length(recorded_by) between 1 and 200),
  primary key (fleet_id, move_id),
  check ((from_pattern_id is null) = (from_version is null)),
  foreign key (fleet_id, asset_id) references liftwright.asset,
  foreign key (fleet_id, from_pattern_id, from_version) references liftwright.lift_pattern,
  foreign key (fleet_id, pattern_id, version) references liftwright.lift_pattern
);
create index pattern_move_by_asset on liftwright.pattern_move (fleet_id, asset_id, move_id);

select liftwright.guard('liftwright.pattern_move');
grant select, insert on liftwright.pattern_move to lw_app;
