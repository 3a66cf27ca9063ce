-- The job card: the work on one unit, its frozen steps, what phones say of them, and who signed.
--
-- A card that is signed off or withdrawn never changes again: not the card, not its steps, not what
-- was said of them, not its signatures. What comes later is kept beside it, as a correction.

create table liftwright.job_card (
  fleet_id      int not null,
  card_id       uuid not null,
  unit_id       uuid not null,
  kind          text not null check (kind in
                  ('upkeep', 'symptom', 'incident', 'intake', 'yard', 'follow_on')),
  state         text not null check (state in
                  ('written_up', 'hands_on', 'set_down', 'to_sign', 'signed_off', 'withdrawn')),
  -- [text]: why there is a card; [{assetId, task, name, why}]: the tasks on it, and why each.
  reasons       jsonb not null check (jsonb_typeof(reasons) = 'array'),
  tasks         jsonb not null check (jsonb_typeof(tasks) = 'array'),
  cause_kind    text check (length(cause_kind) between 1 and 40),
  cause_id      text check (length(cause_id) between 1 and 80),
  visit_id      uuid,
  -- The card that left what is to be done on this one.
  follows       uuid,
  written_up_at timestamptz not null,
  written_up_by text not null check (length(written_up_by) <= 80),
  begun_at      timestamptz,
  -- Whether everything was together and safe when hands were last taken off.
  together_safe boolean,
  -- Why what has no result was not done.
  rest_reason   text check (length(rest_reason) between 1 and 1000),
  work_ended_at timestamptz,
  -- The find of a first look that ended it.
  ended_by      uuid,
  closed_at     timestamptz,
  -- Digest over the whole card as it was when it was signed off.
  seal          bytea check (length(seal) = 32),
  primary key (fleet_id, card_id),
  check ((cause_kind is null) = (cause_id is null)),
  check ((state in ('signed_off', 'withdrawn')) = (closed_at is not null)),
  check ((state = 'signed_off') = (seal is not null)),
  foreign key (fleet_id, unit_id) references liftwright.unit
);
create index job_card_by_unit on liftwright.job_card (fleet_id, unit_id, card_id);
create index job_card_by_state on liftwright.job_card (fleet_id, state, card_id);
create index job_card_follows on liftwright.job_card (fleet_id, follows) where follows is not null;

-- Frozen when the card is written up: `step` is the whole step, the columns are what rules look at.
create table liftwright.card_step (
  fleet_id      int not null,
  card_id       uuid not null,
  step_no       int not null check (step_no between 1 and 500),
  step_id       uuid not null,
  asset_id      uuid not null,
  work          text not null check (length(work) <= 40),
  point_key     text check (length(point_key) <= 80),
  task_keys     text[] not null,
  lift_critical boolean not null,
  step          jsonb not null check (jsonb_typeof(step) = 'object'),
  primary key (fleet_id, card_id, step_no),
  unique (fleet_id, step_id),
  foreign key (fleet_id, card_id) references liftwright.job_card,
  foreign key (fleet_id, asset_id) references liftwright.asset
);

-- What a phone says of a step. Append-only, with the phone's own id; merged when it is read.
create table liftwright.step_command (
  fleet_id    int not null,
  card_id     uuid not null,
  client_id   uuid not null,
  step_id     uuid not null,
  result      text not null check (result in ('done', 'not_done', 'not_right')),
  tap         text check (length(tap) <= 60),
  reason      text check (length(reason) between 1 and 60),
  words       text check (length(words) <= 1000),
  -- {grade, pointKey, mendByDay, mendByUse, finding} of `not_right`.
  find        jsonb,
  measurement jsonb,
  -- As the phone says, and as it counts.
  said_at     timestamptz not null,
  counted_at  timestamptz not null,
  person_id   uuid not null,
  person_name text not null check (length(person_name) <= 200),
  trainee     boolean not null,
  -- The person who stood at the controls while the lift moved.
  at_controls uuid,
  replaces    uuid[] not null,
  -- It came when the card was closed.
  late        boolean not null,
  key_id      uuid not null,
  received_at timestamptz not null,
  digest      bytea not null check (length(digest) = 32),
  finding_id  uuid,
  primary key (fleet_id, card_id, client_id),
  foreign key (fleet_id, card_id) references liftwright.job_card,
  foreign key (fleet_id, step_id) references liftwright.card_step (fleet_id, step_id),
  foreign key (fleet_id, person_id) references liftwright.person,
  foreign key (fleet_id, at_controls) references liftwright.person (fleet_id, person_id)
);
create index step_command_late on liftwright.step_command (fleet_id, card_id, client_id) where late;

-- Who put a name to what. `covers`: the commands that held when a step was signed.
create table liftwright.card_signature (
  fleet_id     int not null,
  signature_id uuid not null,
  card_id      uuid not null,
  step_id      uuid,
  act          text not null check (act in ('begin', 'leave', 'set_down', 'end_work', 'send_back',
                 'check', 'self_check', 'countersign', 'sign_off', 'withdraw')),
  person_id    uuid not null,
  person_name  text not null check (length(person_name) <= 200),
  via          text not null check (via in ('pin', 'sign_in')),
  covers       uuid[] not null,
  together_safe boolean,
  words        text check (length(words) <= 1000),
  at           timestamptz not null,
  key_id       uuid not null,
  recorded_at  timestamptz not null,
  primary key (fleet_id, signature_id),
  check ((step_id is not null) = (act in ('check', 'self_check', 'countersign'))),
  foreign key (fleet_id, card_id) references liftwright.job_card,
  foreign key (fleet_id, step_id) references liftwright.card_step (fleet_id, step_id),
  foreign key (fleet_id, person_id) references liftwright.person
);
create index card_signature_by_card on liftwright.card_signature (fleet_id, card_id, signature_id);

-- What is said of a closed card. With `client_id`: what a person decided about a late command.
create table liftwright.card_correction (
  fleet_id      int not null,
  correction_id uuid not null,
  card_id       uuid not null,
  step_id       uuid,
  client_id     uuid,
  decision      text check (decision in ('counts', 'does_not_count')),
  words         text not null check (length(words) between 1 and 2000),
  -- [{assetId, task}]: what no longer counts as done, or does since.
  tasks         jsonb not null check (jsonb_typeof(tasks) = 'array'),
  person_id     uuid not null,
  person_name   text not null check (length(person_name) <= 200),
  key_id        uuid not null,
  recorded_at   timestamptz not null,
  primary key (fleet_id, correction_id),
  unique (fleet_id, card_id, client_id),
  check ((client_id is null) = (decision is null)),
  foreign key (fleet_id, card_id) references liftwright.job_card,
  foreign key (fleet_id, step_id) references liftwright.card_step (fleet_id, step_id),
  foreign key (fleet_id, card_id, client_id) references liftwright.step_command,
  foreign key (fleet_id, person_id) references liftwright.person
);
create index card_correction_by_card
  on liftwright.card_correction (fleet_id, card_id, correction_id);

-- A task that was done on a card names it.
alter table liftwright.task_done
  add column card_id uuid,
  add foreign key (fleet_id, card_id) references liftwright.job_card;
create index task_done_by_card on liftwright.task_done (fleet_id, card_id)
  where card_id is not null;

create function liftwright.keep_closed_card() returns trigger
  language plpgsql
  as $$
  begin
    if old.closed_at is not null then
      raise exception 'a closed card never changes' using errcode = '23001';
    end if;
    return new;
  end
  $$;
-- What belongs to a card, and on which side of its end. The card is held until the end of the
-- transaction, so nothing slips in while it is being closed.
create function liftwright.keep_to_open_card() returns trigger
  language plpgsql
  as $$
  declare
    closed boolean;
    wants_closed boolean := false;
  begin
    select c.closed_at is not null into closed from liftwright.job_card c
      where c.fleet_id = new.fleet_id and c.card_id = new.card_id for share;
    if tg_table_name = 'step_command' then
      wants_closed := (to_jsonb(new) ->> 'late')::boolean;
    elsif tg_table_name = 'card_correction' then
      wants_closed := true;
    end if;
    -- A card of another fleet is not seen here; its key or row security refuses the row.
    if closed <> wants_closed then
      raise exception 'a closed card never changes, an open one needs no correction'
        using errcode = '23001';
    end if;
    return new;
  end
  $$;
revoke all on function liftwright.keep_closed_card(), liftwright.keep_to_open_card() from public;
create trigger keep_closed_card before update on liftwright.job_card
  for each row execute function liftwright.keep_closed_card();
create trigger keep_to_open_card before insert on liftwright.card_step
  for each row execute function liftwright.keep_to_open_card();
create trigger keep_to_open_card before insert on liftwright.step_command
  for each row execute function liftwright.keep_to_open_card();
create trigger keep_to_open_card before insert on liftwright.card_signature
  for each row execute function liftwright.keep_to_open_card();
create trigger keep_to_open_card before insert on liftwright.card_correction
  for each row execute function liftwright.keep_to_open_card();

select liftwright.guard(t) from unnest(array[
  'liftwright.job_card', 'liftwright.card_step', 'liftwright.step_command',
  'liftwright.card_signature', 'liftwright.card_correction']::regclass[]) t;

grant select, insert on liftwright.job_card, liftwright.card_step, liftwright.step_command,
  liftwright.card_signature, liftwright.card_correction to lw_app;
grant update (state, begun_at, together_safe, rest_reason, work_ended_at, ended_by, closed_at, seal)
  on liftwright.job_card to lw_app;
