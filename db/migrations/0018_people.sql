-- People: who signs, what each may do and since when, and what keeps a PIN from being guessed.

alter table liftwright.person add column pin_set_at timestamptz;
alter table liftwright.person
  add constraint person_pin_dated check ((pin_hash is null) = (pin_set_at is null)),
  -- Who has left signs nothing.
  add constraint person_left_without_pin check (left_at is null or pin_hash is null);
create index person_by_name on liftwright.person (fleet_id, name, person_id);
grant update (pin_set_at) on liftwright.person to lw_app;

-- A fleet of one person checks its own work, and says so.
alter table liftwright.fleet add column one_man boolean not null default false;
grant update (name, one_man) on liftwright.fleet to lw_app;

-- What a person may do, from-to, on what evidence and by whose word. Never changed but ended early.
create table liftwright.person_competence (
  fleet_id        int not null,
  competence_id   uuid not null,
  person_id       uuid not null,
  competence      text not null check (competence in ('lift_work', 'lift_check', 'lead',
                    'dispatch', 'driving', 'yearly_inspection')),
  during          tstzrange not null check (liftwright.is_span(during)),
  evidence        text not null check (length(evidence) between 1 and 2000),
  -- How many passes must be supervised before the work needs no countersign; 0: none.
  passes_needed   smallint not null check (passes_needed between 0 and 100),
  given_by_person uuid,
  given_by        text not null,
  given_at        timestamptz not null,
  end_reason      text check (length(end_reason) between 1 and 2000),
  ended_by        text,
  ended_at        timestamptz,
  primary key (fleet_id, competence_id),
  check (competence = 'lift_work' or passes_needed = 0),
  check (num_nonnulls(end_reason, ended_by, ended_at) in (0, 3)),
  foreign key (fleet_id, person_id) references liftwright.person,
  foreign key (fleet_id, given_by_person) references liftwright.person,
  exclude using gist (fleet_id with =, person_id with =, competence with =, during with &&)
);

-- A job that a trainee went through under the eyes of another; each counts once.
create table liftwright.supervised_pass (
  fleet_id      int not null,
  pass_id       uuid not null,
  competence_id uuid not null,
  supervised_by uuid not null,
  cause_kind    text not null check (length(cause_kind) between 1 and 40),
  cause_id      uuid not null,
  at            timestamptz not null,
  primary key (fleet_id, pass_id),
  unique (fleet_id, competence_id, cause_kind, cause_id),
  foreign key (fleet_id, competence_id) references liftwright.person_competence,
  foreign key (fleet_id, supervised_by) references liftwright.person
);

-- Wrong PINs of a person, and of all persons together with one key.
create table liftwright.pin_try (
  fleet_id     int not null references liftwright.fleet,
  kind         text not null check (kind in ('person', 'key')),
  id           uuid not null,
  -- Wrong ones since the last right one, and within a day.
  in_row       int not null check (in_row >= 0),
  day_began_at timestamptz not null,
  day_wrong    int not null check (day_wrong >= 0),
  locked_until timestamptz,
  primary key (fleet_id, kind, id)
) with (fillfactor = 50);

-- A person on one phone for a while: one row a key and person, good only with that key.
create table liftwright.sign_in (
  fleet_id     int not null,
  key_id       uuid not null,
  person_id    uuid not null,
  sign_in_id   uuid not null,
  token_sha256 bytea not null check (length(token_sha256) = 32),
  began_at     timestamptz not null,
  ends_at      timestamptz not null check (ends_at > began_at),
  primary key (fleet_id, key_id, person_id),
  unique (fleet_id, sign_in_id),
  unique (fleet_id, token_sha256),
  foreign key (fleet_id, key_id) references liftwright.api_key,
  foreign key (fleet_id, person_id) references liftwright.person
);
create index sign_in_by_person on liftwright.sign_in (fleet_id, person_id);

select liftwright.guard(t) from unnest(array[
  'liftwright.person_competence', 'liftwright.supervised_pass', 'liftwright.pin_try',
  'liftwright.sign_in']::regclass[]) t;

-- What was ended stays ended.
create function liftwright.keep_competence_ended() returns trigger
  language plpgsql
  as $$
  begin
    if old.ended_at is not null then
      raise exception 'an ended competence stays ended' using errcode = '23001';
    end if;
    return new;
  end
  $$;
revoke all on function liftwright.keep_competence_ended() from public;
create trigger keep_ended before update on liftwright.person_competence
  for each row execute function liftwright.keep_competence_ended();

grant select, insert on liftwright.person_competence, liftwright.supervised_pass to lw_app;
grant update (during, end_reason, ended_by, ended_at) on liftwright.person_competence to lw_app;
grant select, insert, update on liftwright.pin_try to lw_app;
grant select, insert, delete on liftwright.sign_in to lw_app;
grant update (sign_in_id, token_sha256, began_at, ends_at) on liftwright.sign_in to lw_app;
