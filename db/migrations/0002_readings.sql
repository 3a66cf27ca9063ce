-- What devices count, and what they sent: raw, in runs, never rewritten.

-- What the fold works on: the streams of one counter in order, or, for a counter of scope
-- 'controller', the streams of that controller and meter across gateways. What could change the
-- meaning of a raw value (resolution, width, basis) is fixed for the life of the line.
create table liftwright.fold_line (
  fleet_id          int not null references liftwright.fleet,
  line_id           bigint generated always as identity,
  shard             smallint not null check (shard between 0 and 63),
  meter             text not null,
  resolution_grains int not null check (resolution_grains >= 1),
  -- Above 53 bits a counter never wraps; values are whole numbers below 2^53 all the same.
  width_bits        smallint not null check (width_bits between 8 and 64),
  min_ms_per_tick   bigint not null check (min_ms_per_tick >= 1),
  scope             text not null check (scope in ('controller', 'gateway')),
  controller        text check (length(controller) between 1 and 80),
  basis             text not null check (length(basis) between 1 and 40),
  basis_version     int not null check (basis_version >= 1),
  next_ordinal      int not null default 0,
  created_at        timestamptz not null,
  primary key (fleet_id, line_id),
  check ((scope = 'controller') = (controller is not null)),
  -- A controller whose basis or resolution changes begins a new line: never mixed with the old.
  unique (fleet_id, controller, meter, basis, basis_version, resolution_grains, width_bits)
);

create table liftwright.counter (
  fleet_id    int not null,
  counter_id  bigint generated always as identity,
  gateway_id  uuid not null,
  name        text not null check (name ~ '^[a-z][a-z0-9_]{0,39}$'),
  line_id     bigint not null,
  declared_at timestamptz not null,
  primary key (fleet_id, counter_id),
  unique (fleet_id, gateway_id, name),
  foreign key (fleet_id, gateway_id) references liftwright.gateway,
  foreign key (fleet_id, line_id) references liftwright.fold_line
);
create index counter_by_line on liftwright.counter (fleet_id, line_id);

-- Which line counts for an asset's meter, from-to; exactly one at a time.
create table liftwright.meter_source (
  fleet_id    int not null,
  asset_id    uuid not null,
  meter       text not null,
  line_id     bigint not null,
  during      tstzrange not null check (liftwright.is_span(during)),
  primary key (fleet_id, asset_id, meter, during),
  foreign key (fleet_id, asset_id) references liftwright.asset,
  foreign key (fleet_id, line_id) references liftwright.fold_line,
  exclude using gist (fleet_id with =, asset_id with =, meter with =, during with &&)
);
create index meter_source_by_line on liftwright.meter_source (fleet_id, line_id);

-- One counter from one gateway in one epoch. `seen` holds every settled number: stored, declared
-- lost, or refused for good.
create table liftwright.stream (
  fleet_id    int not null,
  stream_id   bigint generated always as identity,
  counter_id  bigint not null,
  epoch       int not null check (epoch >= 0),
  line_id     bigint not null,
  ordinal     int not null check (ordinal >= 0),
  cause       text not null check (cause in
                ('first', 'sequence_lost', 'counter_reset', 'controller_replaced')),
  seen        int8multirange not null default '{}',
  lost        int8multirange not null default '{}',
  opened_at   timestamptz not null,
  primary key (fleet_id, stream_id),
  unique (fleet_id, counter_id, epoch),
  unique (fleet_id, line_id, ordinal),
  foreign key (fleet_id, counter_id) references liftwright.counter,
  foreign key (fleet_id, line_id) references liftwright.fold_line
) with (fillfactor = 70);

-- Readings as they came, in runs of consecutive numbers: the first time and value, and the steps
-- from each reading to the next. Steps are small and alike, so they compress; stored whole, the
-- arrays cost four times the processor time and ten times the room. No foreign key: this table
-- takes every post, and the recording function has just locked the stream row.
create table liftwright.reading_run (
  fleet_id    int not null,
  stream_id   bigint not null,
  first_seq   bigint not null check (first_seq >= 0),
  last_seq    bigint not null,
  received_at timestamptz not null,
  -- How much the post proved the device clock to be fast, in ms; 0 when it proved nothing.
  offset_ms   bigint not null check (offset_ms >= 0),
  first_at_ms bigint not null,
  first_raw   bigint not null,
  at_steps    int[] not null,
  raw_steps   int[] not null,
  primary key (fleet_id, stream_id, first_seq, received_at),
  check (last_seq between first_seq and first_seq + 4999),
  check (cardinality(at_steps) = last_seq - first_seq),
  check (cardinality(raw_steps) = last_seq - first_seq)
) partition by range (received_at);

-- A number sent again with another value. The first stays in its run; the fold leaves the number
-- out until a person decides.
create table liftwright.reading_conflict (
  fleet_id    int not null,
  stream_id   bigint not null,
  seq         bigint not null,
  at_ms       bigint not null,
  raw         bigint not null,
  received_at timestamptz not null,
  decision    text check (decision in ('first_stands', 'this_stands', 'neither')),
  decided_at  timestamptz,
  decided_by  text,
  primary key (fleet_id, stream_id, seq, at_ms, raw),
  foreign key (fleet_id, stream_id) references liftwright.stream
);

-- A reading refused for good, as it came, with the verdict.
create table liftwright.reading_refusal (
  fleet_id    int not null,
  stream_id   bigint not null,
  seq         bigint not null,
  verdict     text not null,
  at_text     text not null check (length(at_text) <= 100),
  raw_text    text not null check (length(raw_text) <= 100),
  received_at timestamptz not null,
  primary key (fleet_id, stream_id, seq),
  foreign key (fleet_id, stream_id) references liftwright.stream
);

-- The last contact with a gateway and its own habit of posting; changes with every post.
create table liftwright.gateway_contact (
  fleet_id        int not null,
  gateway_id      uuid not null,
  last_post_at    timestamptz,
  -- The longest silence of about the last month, in ms; see next_habit_ms.
  habit_ms        bigint not null default 0,
  -- Device clock minus ours at the last post that said so, in ms.
  device_offset_ms bigint,
  primary key (fleet_id, gateway_id),
  foreign key (fleet_id, gateway_id) references liftwright.gateway
) with (fillfactor = 50);

-- The habit after a post at `now_at`: the longest gap between posts, forgotten with a time constant
-- of 30 days, so that one long holiday does not hide a dead gateway for ever.
create function liftwright.next_habit_ms(habit_ms bigint, last_post timestamptz, now_at timestamptz)
  returns bigint language sql immutable parallel safe
  as $$
    select case when last_post is null or now_at <= last_post then habit_ms
      else greatest(
        (extract(epoch from now_at - last_post) * 1000)::bigint,
        (habit_ms * exp(-least(extract(epoch from now_at - last_post)::float8 / 2592000, 50)))::bigint)
      end
  $$;

-- Recorded facts about a gateway's clock: proven fast by so much, from then on.
create table liftwright.gateway_clock (
  fleet_id    int not null,
  gateway_id  uuid not null,
  seen_at     timestamptz not null,
  offset_ms   bigint not null,
  primary key (fleet_id, gateway_id, seen_at),
  foreign key (fleet_id, gateway_id) references liftwright.gateway
);

-- Insert-only marks: this line has something new from..to. The worker deletes what it saw.
create table liftwright.line_mark (
  fleet_id      int not null,
  mark_id       bigint generated always as identity,
  shard         smallint not null,
  line_id       bigint not null,
  -- 'readings' or 'whole' (rules, sources or decisions changed: fold the line anew).
  kind          text not null check (kind in ('readings', 'whole')),
  from_ordinal  int not null,
  from_seq      bigint not null,
  to_seq        bigint not null,
  received_at   timestamptz not null,
  primary key (fleet_id, mark_id)
);
create index line_mark_by_shard on liftwright.line_mark (shard, fleet_id, line_id);

select liftwright.guard(t) from unnest(array[
  'liftwright.fold_line', 'liftwright.counter', 'liftwright.meter_source', 'liftwright.stream',
  'liftwright.reading_run', 'liftwright.reading_conflict', 'liftwright.reading_refusal',
  'liftwright.gateway_contact', 'liftwright.gateway_clock', 'liftwright.line_mark']::regclass[]) t;

grant select, insert on liftwright.fold_line, liftwright.counter, liftwright.stream to lw_app;
grant update (next_ordinal) on liftwright.fold_line to lw_app;
grant select, insert, delete on liftwright.meter_source to lw_app;
grant select on liftwright.reading_run, liftwright.reading_conflict, liftwright.reading_refusal,
  liftwright.gateway_clock to lw_app;
grant update (decision, decided_at, decided_by) on liftwright.reading_conflict to lw_app;
grant select, insert on liftwright.gateway_contact to lw_app;
grant select, insert, delete on liftwright.line_mark to lw_app;

grant select on liftwright.counter, liftwright.fold_line, liftwright.gateway to lw_batcher;
grant select on liftwright.stream to lw_batcher;
grant update (seen, lost) on liftwright.stream to lw_batcher;
grant select, insert on liftwright.reading_run, liftwright.reading_conflict,
  liftwright.reading_refusal, liftwright.gateway_clock to lw_batcher;
grant select, insert on liftwright.gateway_contact to lw_batcher;
grant update (last_post_at, habit_ms, device_offset_ms) on liftwright.gateway_contact to lw_batcher;
grant insert on liftwright.line_mark to lw_batcher;

-- The scheduler sees work, not content: ids, shards, times.
create policy scheduler_sees_work on liftwright.line_mark for select to lw_scheduler using (true);
grant select (fleet_id, mark_id, shard, line_id, received_at) on liftwright.line_mark to lw_scheduler;

-- Makes the monthly partitions of reading_run from `from_at` to `to_at`. Row security of the parent
-- does not protect a partition that is queried directly, so each is guarded on its own, and
-- nobody is granted anything on it.
create function liftwright.ensure_reading_partitions(from_at timestamptz, to_at timestamptz)
  returns int
  language plpgsql security definer
  set search_path = liftwright, pg_temp
  -- The bounds are written as text: in the caller's style 'IST' could be read as another zone.
  set timezone = 'UTC'
  set datestyle = 'ISO, YMD'
  as $$
  declare
    month timestamptz := date_trunc('month', from_at, 'UTC');
    part text;
    made int := 0;
  begin
    if to_at > from_at + interval '10 years' then
      raise exception 'more than ten years of partitions asked for';
    end if;
    while month <= to_at loop
      part := 'reading_run_' || to_char(month at time zone 'UTC', 'YYYYMM');
      if to_regclass('liftwright.' || part) is null then
        begin
          execute format('create table liftwright.%I (like liftwright.reading_run
            including defaults including constraints)', part);
          execute format('alter table liftwright.reading_run attach partition liftwright.%I
            for values from (%L) to (%L)', part, month,
            (month at time zone 'UTC' + interval '1 month') at time zone 'UTC');
          perform liftwright.guard(format('liftwright.%I', part)::regclass);
          made := made + 1;
        exception when duplicate_table or unique_violation then
          -- another process made it in the same moment
          null;
        end;
      end if;
      month := (month at time zone 'UTC' + interval '1 month') at time zone 'UTC';
    end loop;
    return made;
  end
  $$;
revoke all on function liftwright.ensure_reading_partitions(timestamptz, timestamptz) from public;
grant execute on function liftwright.ensure_reading_partitions(timestamptz, timestamptz)
  to lw_scheduler;

-- The plain case of a post, in one round trip and one transaction: every stream is locked in the
-- order given, no number was seen before, so each run is stored, `seen` grows, and the lines are
-- marked. If any number is known already, or a stream has hundreds of gaps, it raises LW001 and
-- nothing is written: the caller then takes the long way, which compares. Steps of all runs are
-- laid end to end. One statement a stream and plain expressions around it: written as separate
-- statements with sub-selects it cost twice as much.
create function liftwright.record_new_runs(
    p_fleet int, p_gateway uuid, p_received timestamptz, p_device_offset bigint,
    p_streams bigint[], p_firsts bigint[], p_lens int[], p_offsets bigint[],
    p_first_at bigint[], p_first_raw bigint[], p_at_steps int[], p_raw_steps int[],
    p_shards smallint[])
  returns table (stream_id bigint, seen text)
  language plpgsql
  as $$
  #variable_conflict use_column
  declare
    setting text;
    grown int8multirange;
    next_step int := 1;
    last_step int;
    span int8range;
  begin
    setting := set_config('liftwright.fleets', '{' || p_fleet || '}', true);
    for i in 1..cardinality(p_streams) loop
      if p_lens[i] < 1 or i > 1 and p_streams[i] <= p_streams[i - 1] then
        raise exception 'record_new_runs: streams must ascend and runs must hold something'
          using errcode = '22023';
      end if;
      last_step := next_step + p_lens[i] - 2;
      span := int8range(p_firsts[i], p_firsts[i] + p_lens[i]);
      with locked as (
        update liftwright.stream t set seen = t.seen + int8multirange(span)
          where t.fleet_id = p_fleet and t.stream_id = p_streams[i] and not t.seen && span
          returning t.line_id, t.ordinal, t.seen),
      stored as (
        insert into liftwright.reading_run
            (fleet_id, stream_id, first_seq, last_seq, received_at, offset_ms, first_at_ms,
             first_raw, at_steps, raw_steps)
          select p_fleet, p_streams[i], p_firsts[i], p_firsts[i] + p_lens[i] - 1, p_received,
            p_offsets[i], p_first_at[i], p_first_raw[i],
            p_at_steps[next_step:last_step], p_raw_steps[next_step:last_step]
          from locked),
      marked as (
        insert into liftwright.line_mark
            (fleet_id, shard, line_id, kind, from_ordinal, from_seq, to_seq, received_at)
          select p_fleet, p_shards[i], l.line_id, 'readings', l.ordinal, p_firsts[i],
            p_firsts[i] + p_lens[i] - 1, p_received
          from locked l)
      select l.seen into grown from locked l;
      if not found then
        raise exception 'a number is known already' using errcode = 'LW001';
      end if;
      if int8multirange(range_merge(grown)) <> grown
          and (select count(*) from unnest(grown)) > 900 then
        raise exception 'the stream has many gaps' using errcode = 'LW001';
      end if;
      next_step := last_step + 1;
      stream_id := p_streams[i];
      seen := grown::text;
      return next;
    end loop;
    -- The caller's mistakes must not become lost readings; a run with too few steps fails on its
    -- own.
    if next_step - 1 <> cardinality(p_at_steps) or next_step - 1 <> cardinality(p_raw_steps) then
      raise exception 'record_new_runs: steps are left over' using errcode = '22023';
    end if;
    update liftwright.gateway_contact c
      set last_post_at = greatest(c.last_post_at, p_received),
          habit_ms = liftwright.next_habit_ms(c.habit_ms, c.last_post_at, p_received),
          device_offset_ms = coalesce(p_device_offset, c.device_offset_ms)
      where c.fleet_id = p_fleet and c.gateway_id = p_gateway;
    if not found then
      raise exception 'record_new_runs: the gateway has no contact row' using errcode = '22023';
    end if;
  end
  $$;
revoke all on function liftwright.record_new_runs(int, uuid, timestamptz, bigint, bigint[],
  bigint[], int[], bigint[], bigint[], bigint[], int[], int[], smallint[]) from public;
grant execute on function liftwright.record_new_runs(int, uuid, timestamptz, bigint, bigint[],
  bigint[], int[], bigint[], bigint[], bigint[], int[], int[], smallint[]) to lw_batcher;
