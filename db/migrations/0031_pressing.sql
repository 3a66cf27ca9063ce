-- What readiness must know of a task that is overrun or not known, beside the whole assessment, so
-- that a whole fleet is read without unpacking every one: {words, since, silent, neverDone}, or
-- {} when it takes nothing away. Null: written before this column was.
alter table liftwright.upkeep_state add column pressing jsonb
  check (jsonb_typeof(pressing) = 'object');

-- Readiness looks asset by asset; nothing asks by unit.
drop index liftwright.upkeep_state_pressing;
