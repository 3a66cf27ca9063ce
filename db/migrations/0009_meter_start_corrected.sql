-- A starting value that was wrong is corrected; the event of it keeps what it was.
grant update (at, grains, recorded_by, recorded_at) on liftwright.meter_start to lw_app;
