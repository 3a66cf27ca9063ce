-- Versions are kept of the rest of the shop's work, too. A table is named with its moment and with
-- what its rows belong to; see keep_versions.
do $$
  declare
    t record;
  begin
    for t in select * from (values
      ('job_card', 'written_up_at', ''),
      ('card_step', '', 'card_id'),
      ('step_command', 'said_at', 'card_id'),
      ('card_signature', 'at', 'card_id'),
      ('card_correction', 'recorded_at', 'card_id'),
      ('pattern_move', 'moved_at', ''),
      ('symptom', 'told_at', ''),
      ('symptom_report', 'noticed_at', 'symptom_id'),
      ('incident', 'happened_at', ''),
      ('walk_round', 'walked_at', ''),
      ('walk_defect', 'certified_at', 'walk_round_id')
    ) as v (name, at_column, parent_column)
    loop
      perform liftwright.keep_versions(
        ('liftwright.' || t.name)::regclass, t.at_column, t.parent_column);
    end loop;
  end
  $$;
