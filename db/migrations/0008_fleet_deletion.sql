-- A fleet that leaves: asked for, confirmed, deleted in batches; what stays says only that it was.

create table liftwright.fleet_deletion (
  -- No foreign key: the row outlives its fleet. Nothing personal is in it.
  fleet_id     int not null,
  asked_at     timestamptz not null,
  token_sha256 bytea check (length(token_sha256) = 32),
  token_until  timestamptz not null,
  confirmed_at timestamptz,
  finished_at  timestamptz,
  -- Rows deleted so far, by table.
  deleted      jsonb not null default '{}' check (jsonb_typeof(deleted) = 'object'),
  primary key (fleet_id),
  check (confirmed_at is null or token_sha256 is null)
);

-- As before, and the owner sees the rows of the session's fleets too, to delete them: it owns the
-- definer function below, and nobody logs in as it at run time.
create or replace function liftwright.guard(tbl regclass) returns void
  language plpgsql
  as $$
  begin
    execute format('alter table %s enable row level security', tbl);
    execute format('alter table %s force row level security', tbl);
    execute format(
      'create policy fleet_guard on %s to lw_app, lw_batcher
         using (fleet_id = any ((select liftwright.current_fleets())::int[]))
         with check (fleet_id = any ((select liftwright.current_fleets())::int[]))', tbl);
    execute format(
      'create policy owner_erases on %s to lw_owner
         using (fleet_id = any ((select liftwright.current_fleets())::int[]))
         with check (false)', tbl);
  end
  $$;

do $$
  declare
    tbl regclass;
  begin
    for tbl in
      select p.polrelid::regclass from pg_policy p join pg_class c on c.oid = p.polrelid
      where c.relnamespace = 'liftwright'::regnamespace and p.polname = 'fleet_guard'
    loop
      execute format(
        'create policy owner_erases on %s to lw_owner
           using (fleet_id = any ((select liftwright.current_fleets())::int[]))
           with check (false)', tbl);
    end loop;
  end
  $$;

select liftwright.guard('liftwright.fleet_deletion');
grant select, insert, update on liftwright.fleet_deletion to lw_app;
create policy scheduler_sees_work on liftwright.fleet_deletion for select to lw_scheduler
  using (true);
grant select (fleet_id, confirmed_at, finished_at) on liftwright.fleet_deletion to lw_scheduler;

-- Deletes at most so many rows of a leaving fleet, from one table: of those that still hold rows of
-- it, one that no other refers to. Answers which and how many; nothing when nothing is left. The
-- tables come from the catalogue, so that none that is added later is forgotten. Only the session's
-- own fleet, alone, and only once its deletion is confirmed.
create function liftwright.delete_fleet_batch(p_fleet int, p_most int)
  returns table (table_name text, deleted int)
  language plpgsql security definer
  set search_path = liftwright, pg_temp
  as $$
  #variable_conflict use_column
  declare
    todo oid[];
    one oid;
    rows int;
  begin
    if liftwright.current_fleets() is distinct from array[p_fleet] then
      raise exception 'another fleet than the session''s' using errcode = '42501';
    end if;
    if not exists (select 1 from liftwright.fleet_deletion d
        where d.fleet_id = p_fleet and d.confirmed_at is not null) then
      raise exception 'the deletion is not confirmed' using errcode = '42501';
    end if;
    if p_most is null or p_most not between 1 and 100000 then
      raise exception 'from 1 to 100,000 rows at a time' using errcode = '22023';
    end if;
    if not pg_try_advisory_xact_lock(hashtext('liftwright.delete_fleet_batch'), p_fleet) then
      raise exception 'another process deletes this fleet' using errcode = '55P03';
    end if;
    select array_agg(c.oid order by c.oid) into todo from pg_class c
      join pg_attribute a on a.attrelid = c.oid and a.attname = 'fleet_id' and not a.attisdropped
      where c.relnamespace = 'liftwright'::regnamespace and c.relkind = 'r'
        and c.relname <> 'fleet_deletion';
    while cardinality(todo) > 0 loop
      select t into one from unnest(todo) t where not exists (
        select 1 from pg_constraint k where k.contype = 'f' and k.confrelid = t
          and k.conrelid <> t and k.conrelid = any (todo)) limit 1;
      if one is null then
        raise exception 'tables refer to one another in a ring';
      end if;
      execute format('delete from %s where ctid = any (array(
          select ctid from %s where fleet_id = $1 limit $2))', one::regclass, one::regclass)
        using p_fleet, p_most;
      get diagnostics rows = row_count;
      if rows > 0 then
        table_name := (select relname from pg_class where oid = one);
        deleted := rows;
        return next;
        return;
      end if;
      todo := array_remove(todo, one);
      one := null;
    end loop;
  end
  $$;
revoke all on function liftwright.delete_fleet_batch(int, int) from public;
grant execute on function liftwright.delete_fleet_batch(int, int) to lw_app;
