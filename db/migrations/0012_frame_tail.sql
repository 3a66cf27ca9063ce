-- Where the server stands in numbering the readings of counters that it takes from frames.

-- Of each such stream: the control unit it listens to, the last reading stored with its number, until
-- when its value is known to have stood, and the times (ms) that were told of. One small row is all
-- that a post changes in which nothing was used.
create table liftwright.frame_tail (
  fleet_id   int not null,
  stream_id  bigint not null,
  source     smallint not null check (source between 0 and 255),
  seq        bigint not null check (seq >= 0),
  at_ms      bigint not null,
  raw        bigint not null check (raw >= 0),
  until_ms   bigint not null,
  settled    int8multirange not null,
  -- Integrated states only: time of the last sample, what it said, and the time engaged so far.
  sampled_ms bigint,
  engaged    boolean,
  total_ms   bigint check (total_ms >= 0),
  primary key (fleet_id, stream_id),
  foreign key (fleet_id, stream_id) references liftwright.stream,
  check (until_ms >= at_ms),
  check ((sampled_ms is null) = (total_ms is null))
) with (fillfactor = 50);
select liftwright.guard('liftwright.frame_tail');
grant select on liftwright.frame_tail to lw_app;
grant select, insert, update on liftwright.frame_tail to lw_batcher;

-- Whether a post is a sign of life depends on the counters that count for an asset.
grant select on liftwright.meter_source to lw_batcher;
