-- Runs that came in small posts are joined, days later, to about one a stream and UTC day of
-- arrival. Nothing that a reading says is lost: its number, time, value, and when it arrived.

-- The steps, in ms, from the arrival of each reading to that of the next; null when all came
-- together, as posted. `received_at` is that of the first.
alter table liftwright.reading_run add column received_steps int[]
  check (cardinality(received_steps) = last_seq - first_seq);

-- Up to when (a UTC midnight) the runs of a stream are joined.
create table liftwright.stream_compaction (
  fleet_id     int not null,
  stream_id    bigint not null,
  compacted_to timestamptz not null,
  primary key (fleet_id, stream_id),
  foreign key (fleet_id, stream_id) references liftwright.stream
);
select liftwright.guard('liftwright.stream_compaction');
grant select on liftwright.stream_compaction to lw_app;

-- The owner of the definer function below may rewrite runs of the session's fleets. Partitions are
-- reached through their parent only, whose policies then count.
create policy owner_compacts on liftwright.reading_run for update to lw_owner
  using (fleet_id = any ((select liftwright.current_fleets())::int[]))
  with check (fleet_id = any ((select liftwright.current_fleets())::int[]));
create policy owner_compacts on liftwright.stream_compaction to lw_owner
  using (fleet_id = any ((select liftwright.current_fleets())::int[]))
  with check (fleet_id = any ((select liftwright.current_fleets())::int[]));

-- Both functions name the fleet to the policies of their owner, until the transaction ends; no
-- policy lets the scheduler, who calls them, see more for it.

-- Streams of a fleet after `p_after` whose runs of before `p_before` are not joined yet.
create function liftwright.streams_to_compact(
    p_fleet int, p_before timestamptz, p_after bigint, p_most int)
  returns table (stream_id bigint)
  language plpgsql security definer
  set search_path = liftwright, pg_temp
  as $$
  #variable_conflict use_column
  begin
    perform set_config('liftwright.fleets', '{' || p_fleet || '}', true);
    return query select s.stream_id from liftwright.stream s
      left join liftwright.stream_compaction c
        on c.fleet_id = s.fleet_id and c.stream_id = s.stream_id
      where s.fleet_id = p_fleet and s.stream_id > p_after
        and (c.compacted_to is null or c.compacted_to < p_before)
      order by s.stream_id limit least(p_most, 10000);
  end
  $$;
revoke all on function liftwright.streams_to_compact(int, timestamptz, bigint, int) from public;
grant execute on function liftwright.streams_to_compact(int, timestamptz, bigint, int)
  to lw_scheduler;

-- Joins runs of one stream that arrived before `p_before`, a UTC midnight: neighbours by number, of
-- the same UTC day of arrival and the same proven offset, each of fewer than 500 readings, to runs
-- of at most 2,500. Looks at no more than `p_most` of them, after number `p_after`. Answers how
-- many it looked at and how many rows fewer there are, and the number to go on after: null at the
-- end of the stream, and when another transaction compacts or deletes the fleet.
--
-- The first row of each group takes the others in, so no key appears anew, and no reader finds a
-- number twice or not at all. Posts add rows and never touch these.
create function liftwright.compact_runs(
    p_fleet int, p_stream bigint, p_before timestamptz, p_after bigint, p_most int)
  returns table (looked int, gone int, go_on_after bigint)
  language plpgsql security definer
  set search_path = liftwright, pg_temp
  set timezone = 'UTC'
  as $$
  #variable_conflict use_column
  declare
    from_at timestamptz;
    last_seen bigint;
    run record;
    changed int;
    taken int;
  begin
    if p_most is null or p_most not between 2 and 20000 then
      raise exception 'from 2 to 20,000 runs at a time' using errcode = '22023';
    end if;
    if p_before is distinct from date_trunc('day', p_before) then
      raise exception 'whole UTC days only' using errcode = '22023';
    end if;
    perform set_config('liftwright.fleets', '{' || p_fleet || '}', true);
    looked := 0;
    gone := 0;
    -- The lock of delete_fleet_batch.
    if not pg_try_advisory_xact_lock(hashtext('liftwright.delete_fleet_batch'), p_fleet)
        or exists (select 1 from liftwright.fleet_deletion d
          where d.fleet_id = p_fleet and d.confirmed_at is not null) then
      return next;
      return;
    end if;
    select coalesce(c.compacted_to, '-infinity') into from_at from liftwright.stream s
      left join liftwright.stream_compaction c
        on c.fleet_id = s.fleet_id and c.stream_id = s.stream_id
      where s.fleet_id = p_fleet and s.stream_id = p_stream;
    if not found then
      return next;
      return;
    end if;
    select count(*), max(s.first_seq) into looked, last_seen from (
      select r.first_seq from liftwright.reading_run r
      where r.fleet_id = p_fleet and r.stream_id = p_stream and r.first_seq > p_after
        and r.received_at >= from_at and r.received_at < p_before
        and r.last_seq - r.first_seq < 499
      order by r.first_seq limit p_most) s;
    for run in
      with ends as (
        select r.first_seq, r.last_seq, r.received_at, r.offset_ms, r.first_at_ms, r.first_raw,
          r.at_steps, r.raw_steps, r.received_steps,
          r.last_seq - r.first_seq + 1 as readings,
          (extract(epoch from r.received_at) * 1000)::bigint as received_ms,
          r.first_at_ms + coalesce((select sum(x) from unnest(r.at_steps) x), 0) as last_at_ms,
          r.first_raw + coalesce((select sum(x) from unnest(r.raw_steps) x), 0) as last_raw,
          (extract(epoch from r.received_at) * 1000)::bigint
            + coalesce((select sum(x) from unnest(r.received_steps) x), 0) as last_received_ms
        from liftwright.reading_run r
        where r.fleet_id = p_fleet and r.stream_id = p_stream and r.first_seq > p_after
          and r.first_seq <= last_seen
          and r.received_at >= from_at and r.received_at < p_before
          and r.last_seq - r.first_seq < 499),
      steps as (
        select *,
          first_at_ms - lag(last_at_ms) over w as at_step,
          first_raw - lag(last_raw) over w as raw_step,
          received_ms - lag(last_received_ms) over w as received_step,
          coalesce(lag(last_seq) over w = first_seq - 1 and lag(offset_ms) over w = offset_ms
            and date_trunc('day', lag(received_at) over w) = date_trunc('day', received_at),
            false) as follows
        from ends window w as (order by first_seq)),
      islands as (
        select *, count(*) filter (where not (follows
            and abs(at_step) <= 2147483647 and abs(raw_step) <= 2147483647
            and abs(received_step) <= 2147483647)) over (order by first_seq) as island
        from steps),
      chunks as (
        select *, (sum(readings) over (partition by island order by first_seq) - readings)::bigint
            / 2000 as chunk
        from islands),
      members as (
        select *, row_number() over (partition by island, chunk order by first_seq) = 1 as is_first
        from chunks)
      select min(m.first_seq) as first_seq, max(m.last_seq) as last_seq,
        count(*) filter (where e.place = 1) as rows,
        (array_agg(e.at_step order by m.first_seq, e.place))[2:] as at_steps,
        (array_agg(e.raw_step order by m.first_seq, e.place))[2:] as raw_steps,
        (array_agg(e.received_step order by m.first_seq, e.place))[2:] as received_steps
      from members m
      cross join lateral unnest(
        -- The step to the first of a group is to nowhere, and is left out again above.
        case when m.is_first then 0 else m.at_step::int end || m.at_steps,
        case when m.is_first then 0 else m.raw_step::int end || m.raw_steps,
        case when m.is_first then 0 else m.received_step::int end || coalesce(m.received_steps,
          array_fill(0, array[(m.last_seq - m.first_seq)::int]))
        ) with ordinality as e (at_step, raw_step, received_step, place)
      group by m.island, m.chunk
      having count(*) filter (where e.place = 1) > 1
    loop
      update liftwright.reading_run r
        set last_seq = run.last_seq, at_steps = run.at_steps, raw_steps = run.raw_steps,
          received_steps = case when 0 = all (run.received_steps) then null
            else run.received_steps end
        where r.fleet_id = p_fleet and r.stream_id = p_stream and r.first_seq = run.first_seq
          and r.received_at >= from_at and r.received_at < p_before;
      get diagnostics changed = row_count;
      delete from liftwright.reading_run r
        where r.fleet_id = p_fleet and r.stream_id = p_stream
          and r.first_seq > run.first_seq and r.first_seq <= run.last_seq
          and r.received_at >= from_at and r.received_at < p_before;
      get diagnostics taken = row_count;
      -- Half of a group must never be lost.
      if changed <> 1 or taken <> run.rows - 1 then
        raise exception 'runs changed while they were joined' using errcode = '40001';
      end if;
      gone := gone + taken;
    end loop;
    if looked = p_most then
      go_on_after := last_seen;
    else
      insert into liftwright.stream_compaction values (p_fleet, p_stream, p_before)
        on conflict (fleet_id, stream_id) do update set compacted_to =
          greatest(stream_compaction.compacted_to, excluded.compacted_to);
    end if;
    return next;
  end
  $$;
revoke all on function liftwright.compact_runs(int, bigint, timestamptz, bigint, int) from public;
grant execute on function liftwright.compact_runs(int, bigint, timestamptz, bigint, int)
  to lw_scheduler;
