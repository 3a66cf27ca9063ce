-- What readiness must know of a finding that is to be mended after so much use, and of a unit that
-- dispatch sent though it held it back itself.

alter table liftwright.finding
  -- The local day on which it was graded, and the grains that meters had on it by then.
  add column graded_day date,
  add column use_before jsonb not null default '{}' check (jsonb_typeof(use_before) = 'object');
grant update (graded_day, use_before) on liftwright.finding to lw_app;

alter table liftwright.assignment
  add column override_reason text check (length(override_reason) between 1 and 2000);

-- Readiness asks for what is open of many units at once, by asset too.
create index stop_open_by_asset on liftwright.stop (fleet_id, asset_id)
  where state <> 'cleared' and asset_id is not null;
create index finding_open_by_asset on liftwright.finding (fleet_id, asset_id)
  where closed_at is null and asset_id is not null;
create index upkeep_state_pressing_by_asset on liftwright.upkeep_state (fleet_id, asset_id)
  where status in ('overrun', 'unknown');
create index task_deferral_running_by_asset on liftwright.task_deferral (fleet_id, asset_id)
  where ended_at is null;
