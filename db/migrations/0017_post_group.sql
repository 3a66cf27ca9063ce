-- Plain posts of several gateways, of one or many fleets, in one transaction. Each post stands or
-- falls alone: one of which any number is known already, or a stream has hundreds of gaps, is left
-- out whole and not among the answers. So is one of which a stream or the contact is not there, or
-- just now locked by somebody else: a group never waits for a row, because all its members, of
-- whatever fleets, would wait. The caller then sends it alone. Members are numbered from 1; a
-- gateway comes once in a group, so no stream comes twice.
-- The caller has authenticated the fleets: row security lets the batcher touch these and no other.
-- Whole sets at a time: a call of record_new_runs for each post costs many times as much.
create function liftwright.record_post_group(
    m_fleets int[], m_gateways uuid[], m_received bigint[], m_device_offsets bigint[],
    r_members int[], r_streams bigint[], r_firsts bigint[], r_lens int[], r_offsets bigint[],
    r_first_at bigint[], r_first_raw bigint[], r_at_steps int[], r_raw_steps int[],
    r_shards smallint[])
  returns table (member int, stream_id bigint, seen text)
  language plpgsql
  as $$
  #variable_conflict use_column
  declare
    setting text;
    fit int[];
    steps bigint;
    met bigint;
  begin
    setting := set_config('liftwright.fleets',
      (select array_agg(distinct f)::text from unnest(m_fleets) f), true);

    -- The caller's mistakes must not become lost readings.
    select sum(len - 1) into steps from unnest(r_lens) len;
    if steps <> cardinality(r_at_steps) or steps <> cardinality(r_raw_steps) then
      raise exception 'record_post_group: steps are missing or left over' using errcode = '22023';
    end if;

    with locked as materialized (
        select r.member,
          not (t.seen && int8range(r.first_seq, r.first_seq + r.len)
            or int8multirange(range_merge(t.seen)) <> t.seen
              and (select count(*) from unnest(t.seen)) > 900) as plain
        from unnest(r_members, r_streams, r_firsts, r_lens)
          as r (member, stream_id, first_seq, len)
        join liftwright.stream t
          on t.fleet_id = m_fleets[r.member] and t.stream_id = r.stream_id
        for no key update of t skip locked)
      select array_agg(g.member) into fit
      from (select r.member, count(*) as runs from unnest(r_members) as r (member)
        group by r.member) g
      join (select l.member, count(*) as runs from locked l where l.plain group by l.member) p
        on p.member = g.member and p.runs = g.runs;
    with locked as materialized (
        select m.fleet_id, m.gateway_id, m.member, c.last_post_at is null
            or to_timestamp(m.received_ms::float8 / 1000) - c.last_post_at > interval '25 hours'
            as silent
        from unnest(m_fleets, m_gateways, m_received) with ordinality
          as m (fleet_id, gateway_id, received_ms, member)
        join liftwright.gateway_contact c
          on c.fleet_id = m.fleet_id and c.gateway_id = m.gateway_id
        where m.member = any (fit)
        for no key update of c skip locked),
      -- The trigger look_at_heard writes there.
      heard as materialized (
        select l.member from locked l
        join liftwright.gateway_health h
          on h.fleet_id = l.fleet_id and h.gateway_id = l.gateway_id
        where l.silent
        for no key update of h skip locked)
      select array_agg(member) into fit
      from (select member from locked where not silent union all select member from heard) l;
    if fit is null then
      return;
    end if;

    return query
      with given as (
        select r.*, (sum(r.len - 1) over (order by r.ord))::int as last_step,
          m_fleets[r.member] as fleet_id,
          to_timestamp(m_received[r.member]::float8 / 1000) as received_at
        from unnest(r_members, r_streams, r_firsts, r_lens, r_offsets, r_first_at, r_first_raw,
            r_shards) with ordinality
          as r (member, stream_id, first_seq, len, offset_ms, first_at_ms, first_raw, shard, ord)),
      grown as (
        update liftwright.stream t
          set seen = t.seen + int8multirange(int8range(g.first_seq, g.first_seq + g.len))
          from given g
          where t.fleet_id = g.fleet_id and t.stream_id = g.stream_id
            and g.member = any (fit)
          returning g.member, g.ord, t.fleet_id, t.stream_id, t.line_id, t.ordinal, t.seen),
      stored as (
        insert into liftwright.reading_run
            (fleet_id, stream_id, first_seq, last_seq, received_at, offset_ms, first_at_ms,
             first_raw, at_steps, raw_steps)
          select g.fleet_id, g.stream_id, g.first_seq, g.first_seq + g.len - 1, g.received_at,
            g.offset_ms, g.first_at_ms, g.first_raw,
            r_at_steps[g.last_step - g.len + 2:g.last_step],
            r_raw_steps[g.last_step - g.len + 2:g.last_step]
          from given g where g.member = any (fit)),
      marked as (
        insert into liftwright.line_mark
            (fleet_id, shard, line_id, kind, from_ordinal, from_seq, to_seq, received_at)
          select t.fleet_id, g.shard, t.line_id, 'readings', t.ordinal, g.first_seq,
            g.first_seq + g.len - 1, g.received_at
          from grown t join given g on g.ord = t.ord)
      select t.member, t.stream_id, t.seen::text from grown t;

    update liftwright.gateway_contact c
      set last_post_at = greatest(c.last_post_at, m.received_at),
          habit_ms = liftwright.next_habit_ms(c.habit_ms, c.last_post_at, m.received_at),
          device_offset_ms = coalesce(m.device_offset_ms, c.device_offset_ms)
      from (
        select p.fleet_id, p.gateway_id, p.device_offset_ms,
          to_timestamp(p.received_ms::float8 / 1000) as received_at
        from unnest(m_fleets, m_gateways, m_received, m_device_offsets) with ordinality
          as p (fleet_id, gateway_id, received_ms, device_offset_ms, member)
        where p.member = any (fit)) m
      where c.fleet_id = m.fleet_id and c.gateway_id = m.gateway_id;
    get diagnostics met = row_count;
    if met <> cardinality(fit) then
      raise exception 'record_post_group: a gateway comes twice' using errcode = '22023';
    end if;
  end
  $$;
revoke all on function liftwright.record_post_group(int[], uuid[], bigint[], bigint[], int[],
  bigint[], bigint[], int[], bigint[], bigint[], bigint[], int[], int[], smallint[]) from public;
grant execute on function liftwright.record_post_group(int[], uuid[], bigint[], bigint[], int[],
  bigint[], bigint[], int[], bigint[], bigint[], bigint[], int[], int[], smallint[]) to lw_batcher;
