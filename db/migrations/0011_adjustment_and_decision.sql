-- What people decide about use: adjustments of the ledger, readings that wait for a word, sources.

-- An adjustment moves the use of an asset's meter at a time; an opposite one takes it back.
alter table liftwright.usage_entry
  add column at timestamptz,
  add column name text check (length(name) between 1 and 200),
  -- The reading by hand that showed it.
  add column hand_reading_id uuid,
  -- The entry that this one takes back.
  add column withdraws bigint,
  add constraint usage_entry_adjustment check (
    kind <> 'adjustment' or num_nonnulls(at, name, recorded_by) = 3 and grains <> 0),
  add constraint usage_entry_withdraws check (withdraws is null or kind = 'adjustment'),
  add unique (fleet_id, withdraws),
  add foreign key (fleet_id, hand_reading_id) references liftwright.hand_reading;
create index usage_entry_adjustments on liftwright.usage_entry (fleet_id, asset_id, meter, day)
  where kind = 'adjustment';
create index usage_entry_by_asset on liftwright.usage_entry (fleet_id, asset_id, entry_id);
-- An adjustment may take a day below nothing; the sum over time is what counts.
alter table liftwright.use_until drop constraint use_until_grains_check;

-- What a person said of a reading that the fold could not judge. Append-only; the last word on a
-- reading holds. `conflict`: a number sent with two values. `jump`: a rise or fall that does not
-- fit what stood before it.
create table liftwright.reading_decision (
  fleet_id    int not null,
  decision_id uuid not null,
  gateway_id  uuid not null,
  line_id     bigint not null,
  ordinal     int not null,
  seq         bigint not null,
  subject     text not null check (subject in ('conflict', 'jump')),
  decision    text not null check (decision in
                ('first_stands', 'this_stands', 'neither', 'counts', 'does_not_count')),
  -- The reading, and the value that it was held against.
  at_ms       bigint not null,
  raw         bigint not null,
  against     bigint,
  -- What then counts.
  grains      bigint check (grains >= 0),
  name        text not null check (length(name) between 1 and 200),
  reason      text not null check (length(reason) between 1 and 2000),
  recorded_by text not null,
  recorded_at timestamptz not null,
  primary key (fleet_id, decision_id),
  check ((subject = 'jump') = (decision in ('counts', 'does_not_count'))),
  check ((decision = 'counts') = (grains is not null)),
  foreign key (fleet_id, gateway_id) references liftwright.gateway,
  foreign key (fleet_id, line_id) references liftwright.fold_line
);
create index reading_decision_by_line
  on liftwright.reading_decision (fleet_id, line_id, ordinal, seq, decision_id);
create index reading_decision_by_gateway
  on liftwright.reading_decision (fleet_id, gateway_id, decision_id);

-- Readings by hand may be chosen too; they have no counter.
alter table liftwright.meter_source_choice
  alter column counter_id drop not null,
  add column name text check (length(name) between 1 and 200),
  add column voided_name text check (length(voided_name) between 1 and 200);
grant update (voided_name) on liftwright.meter_source_choice to lw_app;

select liftwright.guard('liftwright.reading_decision');
grant select, insert on liftwright.reading_decision to lw_app;
