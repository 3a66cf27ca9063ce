-- What was told rests on a job card of the fleet.
alter table liftwright.symptom
  add foreign key (fleet_id, card_id) references liftwright.job_card;
alter table liftwright.incident
  add foreign key (fleet_id, card_id) references liftwright.job_card;
alter table liftwright.walk_defect
  add foreign key (fleet_id, certified_card) references liftwright.job_card;
