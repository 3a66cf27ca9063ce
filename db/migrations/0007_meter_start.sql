-- What an asset's meters stood at when it was brought in, and at work done before.

-- The value of a meter at a time, before anything was counted here. It is no use and adds none: it
-- says how much was used between work done earlier, whose meter value is known, and that time.
create table liftwright.meter_start (
  fleet_id    int not null,
  asset_id    uuid not null,
  meter       text not null check (length(meter) <= 40),
  at          timestamptz not null,
  grains      bigint not null check (grains >= 0),
  recorded_by text not null,
  recorded_at timestamptz not null,
  primary key (fleet_id, asset_id, meter),
  foreign key (fleet_id, asset_id) references liftwright.asset
);
select liftwright.guard('liftwright.meter_start');
grant select, insert on liftwright.meter_start to lw_app;

-- What meters stood at when the task was done, where somebody wrote it down: {meter: grains}.
alter table liftwright.task_done
  add column meter_values jsonb check (jsonb_typeof(meter_values) = 'object');
