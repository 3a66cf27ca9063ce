-- Keys, safe retries, and the history of what happened.

create table liftwright.api_key (
  fleet_id    int not null references liftwright.fleet,
  key_id      uuid not null,
  prefix      text not null check (length(prefix) between 4 and 40),
  sha256      bytea not null check (length(sha256) = 32),
  role        text not null check (role in ('gateway', 'dispatcher', 'technician', 'lead', 'parts',
                'auditor', 'integrator', 'admin')),
  gateway_id  uuid,
  name        text not null check (length(name) between 1 and 200),
  created_at  timestamptz not null,
  revoked_at  timestamptz,
  last_used_at timestamptz,
  primary key (fleet_id, key_id),
  unique (fleet_id, sha256),
  check ((role = 'gateway') = (gateway_id is not null)),
  foreign key (fleet_id, gateway_id) references liftwright.gateway
);
-- Keys are resolved before the fleet is known.
create index api_key_by_hash on liftwright.api_key (sha256);

-- One receipt a request with an Idempotency-Key, written in the transaction of its effect.
create table liftwright.idempotency (
  fleet_id    int not null references liftwright.fleet,
  client      text not null check (length(client) between 1 and 80),
  key         text not null check (length(key) between 1 and 200),
  route       text not null check (length(route) between 1 and 500),
  body_sha256 bytea not null check (length(body_sha256) = 32),
  status      int,
  body        jsonb,
  created_at  timestamptz not null,
  primary key (fleet_id, client, key)
);
create index idempotency_by_age on liftwright.idempotency (fleet_id, created_at);

-- What happened, not yet numbered; written in the transaction of its cause.
create table liftwright.outbox (
  fleet_id    int not null references liftwright.fleet,
  outbox_id   bigint generated always as identity,
  type        text not null,
  subject     text not null,
  data        jsonb not null,
  -- Names and the like: only a salted digest of it goes into the chain.
  personal    jsonb,
  occurred_at timestamptz not null,
  recorded_at timestamptz not null,
  primary key (fleet_id, outbox_id)
);

-- Numbered without gaps per fleet, each hash covering the one before.
create table liftwright.event (
  fleet_id        int not null references liftwright.fleet,
  number          bigint not null check (number >= 1),
  type            text not null,
  subject         text not null,
  data            jsonb not null,
  personal_digest bytea,
  occurred_at     timestamptz not null,
  recorded_at     timestamptz not null,
  numbered_at     timestamptz not null,
  previous_hash   bytea not null check (length(previous_hash) = 32),
  hash            bytea not null check (length(hash) = 32),
  primary key (fleet_id, number)
);
create index event_by_subject on liftwright.event (fleet_id, subject, number);

-- Kept apart so that it can be erased without breaking the chain.
create table liftwright.event_personal (
  fleet_id    int not null,
  number      bigint not null,
  salt        bytea not null check (length(salt) = 16),
  personal    jsonb not null,
  primary key (fleet_id, number),
  foreign key (fleet_id, number) references liftwright.event
);

create table liftwright.event_chain (
  fleet_id    int not null references liftwright.fleet,
  last_number bigint not null,
  last_hash   bytea not null check (length(last_hash) = 32),
  primary key (fleet_id)
);

select liftwright.guard(t) from unnest(array[
  'liftwright.api_key', 'liftwright.idempotency', 'liftwright.outbox', 'liftwright.event',
  'liftwright.event_personal', 'liftwright.event_chain']::regclass[]) t;

-- Not sha256: it is asked for by resolve_api_key alone.
grant select (fleet_id, key_id, prefix, role, gateway_id, name, created_at, revoked_at,
  last_used_at), insert on liftwright.api_key to lw_app;
grant update (revoked_at, last_used_at) on liftwright.api_key to lw_app;
grant select, insert, delete on liftwright.idempotency to lw_app;
grant update (status, body) on liftwright.idempotency to lw_app;
grant select, insert, delete on liftwright.outbox to lw_app;
grant select, insert on liftwright.event, liftwright.event_chain to lw_app;
grant update (last_number, last_hash) on liftwright.event_chain to lw_app;
grant select, insert, delete on liftwright.event_personal to lw_app;
grant insert on liftwright.outbox to lw_batcher;

create policy scheduler_sees_work on liftwright.outbox for select to lw_scheduler using (true);
grant select (fleet_id, outbox_id, recorded_at) on liftwright.outbox to lw_scheduler;
create policy scheduler_sees_fleets on liftwright.fleet for select to lw_scheduler using (true);
grant select (fleet_id) on liftwright.fleet to lw_scheduler;

-- Resolves a key by its hash, for every fleet: the one thing that must be asked before a fleet is
-- known. Runs as lw_keyring, which may read these columns of this table and nothing else.
create policy keyring_reads_keys on liftwright.api_key for select to lw_keyring using (true);
grant select (fleet_id, key_id, sha256, role, gateway_id, revoked_at, name, last_used_at)
  on liftwright.api_key to lw_keyring;
create function liftwright.resolve_api_key(p_sha256 bytea)
  returns table (fleet_id int, key_id uuid, role text, gateway_id uuid, name text,
                 last_used_at timestamptz)
  language sql stable security definer
  set search_path = liftwright, pg_temp
  as $$
    select k.fleet_id, k.key_id, k.role, k.gateway_id, k.name, k.last_used_at
    from liftwright.api_key k where k.sha256 = p_sha256 and k.revoked_at is null
      -- One secret in two fleets names neither.
      and not exists (select 1 from liftwright.api_key o
        where o.sha256 = p_sha256 and o.revoked_at is null and o.fleet_id <> k.fleet_id)
  $$;
grant usage, create on schema liftwright to lw_keyring;
alter function liftwright.resolve_api_key(bytea) owner to lw_keyring;
revoke create on schema liftwright from lw_keyring;
set role lw_keyring;
revoke all on function liftwright.resolve_api_key(bytea) from public;
grant execute on function liftwright.resolve_api_key(bytea) to lw_app;
set role lw_owner;

-- The first fleet and its admin key, once: an empty database has no key that could make one.
-- Answers the fleet's number, or null when there is a fleet already. Forced row security binds the
-- owner too, hence its policies; nobody logs in as the owner at run time.
create policy owner_founds on liftwright.fleet to lw_owner using (true) with check (true);
create policy owner_founds on liftwright.api_key to lw_owner using (true) with check (true);
create policy owner_founds on liftwright.event_chain to lw_owner using (true) with check (true);
create policy owner_founds on liftwright.outbox to lw_owner using (true) with check (true);
create function liftwright.found_first_fleet(p_name text, p_key_id uuid, p_prefix text,
    p_sha256 bytea, p_at timestamptz)
  returns int
  language plpgsql security definer
  set search_path = liftwright, pg_temp
  as $$
  declare
    id int;
  begin
    perform pg_advisory_xact_lock(hashtext('liftwright.found_first_fleet'));
    if exists (select 1 from liftwright.fleet f) then
      return null;
    end if;
    insert into liftwright.fleet (name, created_at) values (p_name, p_at) returning fleet_id into id;
    insert into liftwright.api_key (fleet_id, key_id, prefix, sha256, role, name, created_at)
      values (id, p_key_id, p_prefix, p_sha256, 'admin', 'first admin key', p_at);
    insert into liftwright.event_chain (fleet_id, last_number, last_hash)
      values (id, 0, decode(repeat('00', 32), 'hex'));
    insert into liftwright.outbox (fleet_id, type, subject, data, occurred_at, recorded_at)
      values (id, 'fleet.founded', 'fleet/' || id, jsonb_build_object('name', p_name), p_at, p_at);
    return id;
  end
  $$;
revoke all on function liftwright.found_first_fleet(text, uuid, text, bytea, timestamptz) from public;
grant execute on function liftwright.found_first_fleet(text, uuid, text, bytea, timestamptz)
  to lw_app;
