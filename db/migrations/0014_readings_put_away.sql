-- Readings put away: months of readings that are older than what an operator keeps are detached.
-- Every line with readings there then has a cut: a checkpoint of its fold that is never folded
-- again, and no reading at or before it is taken any more.

alter table liftwright.stream
  -- Numbers up to this one are behind the cut of the line; null: none. The cut is the number of the
  -- highest stream (by ordinal) that has one; a fold_segment ends right there, for ever.
  add column cut_seq bigint check (cut_seq between 0 and 9007199254740991),
  -- Numbers behind the cut that had not come: they are in `seen` since, so that no post takes the
  -- short way with them, and are refused for good.
  add column too_late int8multirange not null default '{}';

create policy owner_cuts on liftwright.stream for update to lw_owner
  using (fleet_id = any ((select liftwright.current_fleets())::int[]))
  with check (fleet_id = any ((select liftwright.current_fleets())::int[]));

-- Gives a line a cut behind all its readings that arrived before `p_to`. Answers null when that
-- stands, also when there is nothing to cut, or why it cannot be yet. One line a transaction: its
-- streams are locked in the order in which posts lock theirs.
create function liftwright.cut_line(p_fleet int, p_line bigint, p_to timestamptz)
  returns text
  language plpgsql security definer
  set search_path = liftwright, pg_temp
  as $$
  declare
    need record;
    cut record;
  begin
    -- Until the transaction ends; no policy lets the scheduler see more for it.
    perform set_config('liftwright.fleets', '{' || p_fleet || '}', true);
    perform 1 from liftwright.fold_line l where l.fleet_id = p_fleet and l.line_id = p_line
      for no key update skip locked;
    if not found then
      return 'a worker is at the line';
    end if;
    perform 1 from liftwright.stream s where s.fleet_id = p_fleet and s.line_id = p_line
      order by s.stream_id for no key update;
    select s.ordinal, s.cut_seq, max(r.last_seq) as seq into need
      from liftwright.stream s
      join liftwright.reading_run r on r.fleet_id = s.fleet_id and r.stream_id = s.stream_id
      where s.fleet_id = p_fleet and s.line_id = p_line and r.received_at < p_to
      group by s.ordinal, s.cut_seq order by s.ordinal desc limit 1;
    if not found or need.seq <= coalesce(need.cut_seq, -1) then
      return null;
    end if;
    if exists (select 1 from liftwright.line_mark m
        where m.fleet_id = p_fleet and m.line_id = p_line) then
      return 'the line has something that is not folded yet';
    end if;
    select f.end_ordinal as ordinal, f.end_seq as seq into cut
      from liftwright.fold_segment f
      where f.fleet_id = p_fleet and f.line_id = p_line
        and (f.end_ordinal, f.end_seq) >= (need.ordinal, need.seq)
      order by f.start_ordinal, f.start_seq limit 1;
    if not found then
      return 'the line has no checkpoint behind these readings';
    end if;
    if exists (select 1 from liftwright.stream s
        join liftwright.reading_run r on r.fleet_id = s.fleet_id and r.stream_id = s.stream_id
        where s.fleet_id = p_fleet and s.line_id = p_line and s.ordinal < cut.ordinal
          and r.received_at >= p_to) then
      return 'an earlier stream of the line still gets readings';
    end if;
    update liftwright.stream s
      set cut_seq = b.behind,
        seen = s.seen + b.numbers,
        too_late = s.too_late + (b.numbers - s.seen) + (b.numbers * s.lost),
        lost = s.lost - b.numbers
      from (
        select t.stream_id, c.behind, int8multirange(int8range(0, c.behind, '[]')) as numbers
        from liftwright.stream t
        cross join lateral (select case when t.ordinal < cut.ordinal then 9007199254740991
          else cut.seq end as behind) c
        where t.fleet_id = p_fleet and t.line_id = p_line and t.ordinal <= cut.ordinal) b
      where s.fleet_id = p_fleet and s.stream_id = b.stream_id;
    return null;
  end
  $$;
revoke all on function liftwright.cut_line(int, bigint, timestamptz) from public;
grant execute on function liftwright.cut_line(int, bigint, timestamptz) to lw_scheduler;

-- Detaches the readings of one month (its first instant in UTC) when each of them is behind a cut.
-- Answers null when that is done or was done before, or why it cannot be yet. The table stays, with
-- its rows and its row security, until an operator archives or drops it; the deletion of a fleet
-- and the export find it by its fleet_id. Waits 3 s at most for those who read or write readings.
create function liftwright.detach_readings(p_month timestamptz, p_now timestamptz)
  returns text
  language plpgsql security definer
  set search_path = liftwright, pg_temp
  set timezone = 'UTC'
  set lock_timeout = '3s'
  as $$
  declare
    part text := 'reading_run_' || to_char(p_month, 'YYYYMM');
    open_rows bigint;
  begin
    if p_month is distinct from date_trunc('month', p_month)
        or p_month > date_trunc('month', p_now) - interval '1 month' then
      raise exception 'whole months that are over only' using errcode = '22023';
    end if;
    if not exists (select 1 from pg_inherits i
        where i.inhparent = 'liftwright.reading_run'::regclass
          and i.inhrelid = to_regclass('liftwright.' || part)) then
      return null;
    end if;
    perform set_config('liftwright.fleets',
      (select coalesce(array_agg(f.fleet_id), '{}')::text from liftwright.fleet f), true);
    -- Nothing arrives in a month that is over, and a cut never moves back.
    select count(*) into open_rows from liftwright.reading_run r
      left join liftwright.stream s on s.fleet_id = r.fleet_id and s.stream_id = r.stream_id
      where r.received_at >= p_month and r.received_at < p_month + interval '1 month'
        and (s.cut_seq is null or s.cut_seq < r.last_seq);
    if open_rows > 0 then
      return open_rows || ' runs are not behind a cut';
    end if;
    execute format('alter table liftwright.reading_run detach partition liftwright.%I', part);
    -- For the export; the guard of the table shows each fleet its own.
    execute format('grant select on liftwright.%I to lw_app', part);
    execute format('comment on table liftwright.%I is %L', part,
      'Readings that were put away: no longer read by the service. May be archived and dropped.');
    return null;
  end
  $$;
revoke all on function liftwright.detach_readings(timestamptz, timestamptz) from public;
grant execute on function liftwright.detach_readings(timestamptz, timestamptz) to lw_scheduler;

-- The months of readings, as first instants in UTC: what is there to post into, and to put away.
create function liftwright.reading_months()
  returns table (month timestamptz)
  language sql stable
  set search_path = pg_catalog, pg_temp
  as $$
    select to_timestamp(right(c.relname, 6) || ' +00', 'YYYYMM TZH') from pg_inherits i
    join pg_class c on c.oid = i.inhrelid
    where i.inhparent = 'liftwright.reading_run'::regclass order by 1
  $$;
revoke all on function liftwright.reading_months() from public;
grant execute on function liftwright.reading_months() to lw_scheduler;
