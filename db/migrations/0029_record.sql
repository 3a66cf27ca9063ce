-- The record of a unit: what identifies it, who controlled it when, what must be preserved, and every
-- version of every row that tells of its work, so that it can be shown as it was known at any time.

-- What 49 CFR 396.3(b)(1) asks for besides number and serial.
alter table liftwright.unit
  add column furnished_by text check (length(furnished_by) between 1 and 200);
alter table liftwright.asset
  add column make text check (length(make) between 1 and 80),
  add column model_year int check (model_year between 1900 and 2200),
  add column tire_size text check (length(tire_size) between 1 and 80);
grant update (furnished_by) on liftwright.unit to lw_app;
grant update (make, model_year, tire_size) on liftwright.asset to lw_app;

-- When a unit was under the control of the fleet; both days inside. Ended once; may be voided.
create table liftwright.control_period (
  fleet_id    int not null,
  period_id   uuid not null,
  unit_id     uuid not null,
  from_day    date not null,
  ended_day   date check (ended_day >= from_day),
  end_reason  text check (length(end_reason) between 1 and 2000),
  note        text check (length(note) between 1 and 2000),
  recorded_by text not null,
  recorded_at timestamptz not null,
  void_reason text check (length(void_reason) between 1 and 2000),
  voided_by   text check (length(voided_by) between 1 and 200),
  voided_at   timestamptz,
  primary key (fleet_id, period_id),
  check ((ended_day is null) = (end_reason is null)),
  check (num_nonnulls(void_reason, voided_by, voided_at) in (0, 3)),
  foreign key (fleet_id, unit_id) references liftwright.unit
);
create index control_period_by_unit on liftwright.control_period (fleet_id, unit_id, period_id);
create trigger keep_voided before update on liftwright.control_period
  for each row execute function liftwright.keep_voided();

-- An order that records be preserved, of one unit or, without one, of all. While it stands nothing
-- is purged.
create table liftwright.preservation_order (
  fleet_id      int not null references liftwright.fleet,
  order_id      uuid not null,
  unit_id       uuid,
  reason        text not null check (length(reason) between 1 and 2000),
  reference     text check (length(reference) between 1 and 200),
  placed_at     timestamptz not null,
  placed_by     text not null check (length(placed_by) between 1 and 200),
  placed_person uuid not null,
  recorded_by   text not null,
  lifted_at     timestamptz,
  lifted_by     text check (length(lifted_by) between 1 and 200),
  lifted_person uuid,
  lift_reason   text check (length(lift_reason) between 1 and 2000),
  primary key (fleet_id, order_id),
  check (num_nonnulls(lifted_at, lifted_by, lifted_person, lift_reason) in (0, 4)),
  foreign key (fleet_id, unit_id) references liftwright.unit,
  foreign key (fleet_id, placed_person) references liftwright.person,
  foreign key (fleet_id, lifted_person) references liftwright.person
);
create index preservation_order_standing on liftwright.preservation_order (fleet_id, unit_id)
  where lifted_at is null;
create function liftwright.keep_lifted() returns trigger
  language plpgsql
  as $$
  begin
    if old.lifted_at is not null then
      raise exception 'a lifted order stays lifted' using errcode = '23001';
    end if;
    return new;
  end
  $$;
revoke all on function liftwright.keep_lifted() from public;
create trigger keep_lifted before update on liftwright.preservation_order
  for each row execute function liftwright.keep_lifted();

-- A transaction that changed what is kept. It ties the versions of rows to the events of the same
-- transaction, whose numbers are given after the commit: from its first event on it is known.
create table liftwright.record_work (
  fleet_id    int not null references liftwright.fleet,
  work_no     bigint generated always as identity,
  number      bigint check (number >= 0),
  -- What was there already when versions began to be kept.
  brought_in  boolean not null default false,
  primary key (fleet_id, work_no)
);
create index record_work_waiting on liftwright.record_work (fleet_id) where number is null;
create function liftwright.keep_numbered() returns trigger
  language plpgsql
  as $$
  begin
    if old.number is not null then
      raise exception 'a number once given stays' using errcode = '23001';
    end if;
    return new;
  end
  $$;
revoke all on function liftwright.keep_numbered() from public;
create trigger keep_numbered before update on liftwright.record_work
  for each row execute function liftwright.keep_numbered();

-- The work of this transaction; made with its first version. Events are written after what they
-- tell of, so those of a transaction without versions have none.
create function liftwright.work_no(p_fleet int) returns bigint
  language plpgsql
  as $$
  declare
    known text[] := string_to_array(current_setting('liftwright.work_no', true), ' ');
    made bigint;
  begin
    if known[1] = p_fleet::text then
      return known[2]::bigint;
    end if;
    insert into liftwright.record_work (fleet_id) values (p_fleet) returning work_no into made;
    perform set_config('liftwright.work_no', p_fleet || ' ' || made, true);
    return made;
  end
  $$;
revoke all on function liftwright.work_no(int) from public;
grant execute on function liftwright.work_no(int) to lw_app;
alter table liftwright.outbox add column work_no bigint;
alter table liftwright.outbox alter column work_no
  set default nullif(split_part(current_setting('liftwright.work_no', true), ' ', 2), '')::bigint;

-- Every version of a row: as it was after the transaction, or last before it was taken away.
create table liftwright.record_version (
  fleet_id    int not null,
  version_id  bigint generated always as identity,
  work_no     bigint not null,
  kind        text not null,
  row_id      text not null,
  unit_id     uuid,
  asset_id    uuid,
  -- The row that it belongs to.
  parent_id   text,
  at          timestamptz,
  gone        boolean not null,
  data        jsonb not null,
  primary key (fleet_id, version_id),
  foreign key (fleet_id, work_no) references liftwright.record_work
);
create index record_version_by_row
  on liftwright.record_version (fleet_id, kind, row_id, version_id);
create index record_version_by_unit on liftwright.record_version (fleet_id, unit_id, kind)
  where unit_id is not null;
create index record_version_by_asset on liftwright.record_version (fleet_id, asset_id, kind)
  where asset_id is not null;
create index record_version_by_parent on liftwright.record_version (fleet_id, parent_id)
  where parent_id is not null;

select liftwright.guard(t) from unnest(array[
  'liftwright.control_period', 'liftwright.preservation_order', 'liftwright.record_work',
  'liftwright.record_version']::regclass[]) t;

grant select, insert on liftwright.control_period, liftwright.preservation_order,
  liftwright.record_work, liftwright.record_version to lw_app;
grant update (ended_day, end_reason, void_reason, voided_by, voided_at)
  on liftwright.control_period to lw_app;
grant update (lifted_at, lifted_by, lifted_person, lift_reason) on liftwright.preservation_order
  to lw_app;
grant update (number) on liftwright.record_work to lw_app;

-- Writes the versions of a row. Arguments: its moment, what it belongs to ('' for neither), and the
-- columns of its key besides the fleet. What a leaving fleet loses leaves no version.
create function liftwright.keep_version() returns trigger
  language plpgsql
  set timezone = 'UTC'
  as $$
  declare
    was jsonb := case when tg_op = 'INSERT' then null else to_jsonb(old) end;
    is_now jsonb := case when tg_op = 'DELETE' then null else to_jsonb(new) end;
    keys text[] := tg_argv[2:];
    was_id text;
    now_id text;
    work bigint;
  begin
    if current_user = 'lw_owner' or was = is_now then
      return null;
    end if;
    was_id := (select string_agg(was ->> k, '/' order by n)
      from unnest(keys) with ordinality as u (k, n));
    now_id := (select string_agg(is_now ->> k, '/' order by n)
      from unnest(keys) with ordinality as u (k, n));
    work := liftwright.work_no((coalesce(is_now, was) ->> 'fleet_id')::int);
    insert into liftwright.record_version
        (fleet_id, work_no, kind, row_id, unit_id, asset_id, parent_id, at, gone, data)
      select (v.data ->> 'fleet_id')::int, work, tg_table_name, v.row_id,
        (v.data ->> 'unit_id')::uuid, (v.data ->> 'asset_id')::uuid, v.data ->> tg_argv[1],
        (v.data ->> tg_argv[0])::timestamptz, v.gone, v.data
      from (values (was_id, true, was), (now_id, false, is_now)) as v (row_id, gone, data)
      where v.data is not null and (not v.gone or was_id is distinct from now_id);
    return null;
  end
  $$;
revoke all on function liftwright.keep_version() from public;

-- From here on versions of a table are kept; what it holds already is the first version. Versions
-- of before are known from the last event on that is numbered now.
create function liftwright.keep_versions(tbl regclass, at_column text, parent_column text)
  returns void
  language plpgsql
  set timezone = 'UTC'
  as $$
  declare
    keys text[] := (
      select array_agg(a.attname::text order by k.n)
      from pg_constraint c, unnest(c.conkey) with ordinality as k (attnum, n)
      join pg_attribute a on a.attnum = k.attnum
      where c.conrelid = tbl and c.contype = 'p' and a.attrelid = tbl and a.attname <> 'fleet_id');
    args text := (select string_agg(quote_literal(each), ', ')
      from unnest(array[at_column, parent_column] || keys) each);
    id_sql text := (select string_agg(format('(d.data ->> %L)', k), ' || ''/'' || ')
      from unnest(keys) k);
  begin
    execute format('create trigger keep_version after insert or update or delete on %s
      for each row execute function liftwright.keep_version(%s)', tbl, args);
    perform set_config('liftwright.fleets',
      (select coalesce(array_agg(fleet_id), '{}')::text from liftwright.fleet), true);
    create policy owner_begins on liftwright.record_work for insert to lw_owner with check (true);
    create policy owner_begins on liftwright.record_version for insert to lw_owner
      with check (true);
    execute format(
      'with work as (
         insert into liftwright.record_work (fleet_id, number, brought_in)
         select c.fleet_id, c.last_number, true from liftwright.event_chain c
         returning fleet_id, work_no)
       insert into liftwright.record_version
         (fleet_id, work_no, kind, row_id, unit_id, asset_id, parent_id, at, gone, data)
       select t.fleet_id, w.work_no, %L, %s, (d.data ->> ''unit_id'')::uuid,
         (d.data ->> ''asset_id'')::uuid, d.data ->> %L, (d.data ->> %L)::timestamptz, false, d.data
       from %s t join work w on w.fleet_id = t.fleet_id
       cross join lateral (select to_jsonb(t) as data) d',
      (select relname from pg_class where oid = tbl), id_sql, parent_column, at_column, tbl);
    drop policy owner_begins on liftwright.record_work;
    drop policy owner_begins on liftwright.record_version;
  end
  $$;
revoke all on function liftwright.keep_versions(regclass, text, text) from public;

select liftwright.keep_versions(t.tbl, t.at_column, t.parent_column) from (values
  ('liftwright.yard'::regclass, 'created_at', ''),
  ('liftwright.unit', 'created_at', ''),
  ('liftwright.unit_yard', '', ''),
  ('liftwright.asset', '', ''),
  ('liftwright.install', '', ''),
  ('liftwright.install_correction', 'recorded_at', ''),
  ('liftwright.severity', 'from_day', ''),
  ('liftwright.task_done', 'done_at', ''),
  ('liftwright.task_deferral', 'from_at', ''),
  ('liftwright.hand_reading', 'at', ''),
  ('liftwright.finding', 'found_at', ''),
  ('liftwright.finding_report', 'recorded_at', 'finding_id'),
  ('liftwright.stop', 'placed_at', ''),
  ('liftwright.stop_act', 'recorded_at', 'stop_id'),
  ('liftwright.assignment', 'assigned_at', ''),
  ('liftwright.visit', 'created_at', ''),
  ('liftwright.task_call', 'called_at', ''),
  ('liftwright.part_life', '', ''),
  ('liftwright.part_life_entry', 'recorded_at', 'life_id'),
  ('liftwright.measurement', 'at', ''),
  ('liftwright.measurement_decision', 'recorded_at', 'measurement_id'),
  ('liftwright.take_up', 'at', ''),
  ('liftwright.removal_check', 'at', ''),
  ('liftwright.control_period', 'from_day', ''),
  ('liftwright.preservation_order', 'placed_at', '')
) as t (tbl, at_column, parent_column);
