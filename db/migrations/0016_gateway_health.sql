-- What is known to be wrong with a gateway, as it was last told, and when to look again.

-- One row a gateway. It is looked at when its time has come: at most once a day while it posts, not
-- at all while it is silent. A post that comes after a long silence brings that time forward.
create table liftwright.gateway_health (
  fleet_id     int not null,
  gateway_id   uuid not null,
  shard        smallint not null check (shard between 0 and 63),
  -- Null: not before something happens.
  check_at     timestamptz,
  -- Told to be silent: nothing came since. Null: it is heard, or nothing is expected of it.
  silent_since timestamptz,
  -- Meters that stand still while the truck works: see domain/usage/switch-watch.ts.
  suspects     jsonb not null default '[]' check (jsonb_typeof(suspects) = 'array'),
  checked_at   timestamptz,
  primary key (fleet_id, gateway_id),
  foreign key (fleet_id, gateway_id) references liftwright.gateway
) with (fillfactor = 70);
create index gateway_health_due on liftwright.gateway_health (check_at, shard)
  where check_at is not null;
create index gateway_health_silent on liftwright.gateway_health (fleet_id, gateway_id)
  where silent_since is not null;
create index gateway_health_suspect on liftwright.gateway_health (fleet_id, gateway_id)
  where suspects <> '[]';

select liftwright.guard('liftwright.gateway_health');
grant select, insert, update on liftwright.gateway_health to lw_app;
grant select (fleet_id, gateway_id, check_at) on liftwright.gateway_health to lw_batcher;
grant update (check_at) on liftwright.gateway_health to lw_batcher;
create policy scheduler_sees_work on liftwright.gateway_health for select to lw_scheduler
  using (true);
grant select (fleet_id, gateway_id, shard, check_at) on liftwright.gateway_health to lw_scheduler;

-- Gateways that exist already are looked at once, as soon as somebody works.
create policy fill on liftwright.gateway_health for insert to lw_owner with check (true);
create policy fill on liftwright.gateway for select to lw_owner using (true);
insert into liftwright.gateway_health (fleet_id, gateway_id, shard, check_at)
  select fleet_id, gateway_id, hashtext(gateway_id::text) & 63, 'epoch' from liftwright.gateway;
drop policy fill on liftwright.gateway_health;
drop policy fill on liftwright.gateway;

-- After a long silence (a little less than the shortest that is told) a gateway is looked at. The
-- condition is weighed inside the update that every post makes anyway: a post costs no statement
-- more.
create function liftwright.look_at_heard() returns trigger
  language plpgsql
  as $$
  begin
    -- Whatever the time is now: who looks at this moment is waited for, and may set another.
    update liftwright.gateway_health h set check_at = least(h.check_at, new.last_post_at)
      where h.fleet_id = new.fleet_id and h.gateway_id = new.gateway_id;
    return null;
  end
  $$;
revoke all on function liftwright.look_at_heard() from public;
create trigger look_at_heard after update on liftwright.gateway_contact
  for each row when (old.last_post_at is null
    or new.last_post_at - old.last_post_at > interval '25 hours')
  execute function liftwright.look_at_heard();

-- Where a gateway sits decides what is expected of it: it is looked at when that changes. Rows that
-- the owner deletes with their fleet need no look.
create function liftwright.look_at_moved() returns trigger
  language plpgsql
  as $$
  begin
    update liftwright.gateway_health h set check_at = 'epoch'
      where h.fleet_id = coalesce(new.fleet_id, old.fleet_id)
        and h.gateway_id in (new.gateway_id, old.gateway_id);
    return null;
  end
  $$;
revoke all on function liftwright.look_at_moved() from public;
create trigger look_at_moved after insert or update or delete on liftwright.install
  for each row when (current_user = 'lw_app') execute function liftwright.look_at_moved();

-- What waits for a person: numbers sent with two values, jumps that nobody has looked at.
create index reading_conflict_open on liftwright.reading_conflict (fleet_id, stream_id, seq)
  where decision is null;
create index fold_segment_jumps on liftwright.fold_segment (fleet_id, line_id)
  where verdicts @> '[{"verdict": "rebase"}]';
