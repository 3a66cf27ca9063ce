-- A place may have limits of its own, besides those of a wear part: what is measured of it must be at
-- least, at most, or between. Also in bar, degrees and seconds.
alter table liftwright.measurement
  drop constraint measurement_unit_check,
  drop constraint measurement_limit_unit_check,
  add constraint measurement_unit_check check
    (unit in ('mm', 'in', 'nm', 'turns', 'percent', 'bar', 'celsius', 'seconds')),
  add constraint measurement_limit_unit_check check
    (limit_unit in ('mm', 'in', 'nm', 'turns', 'percent', 'bar', 'celsius', 'seconds')),
  add column limit_key text check (length(limit_key) between 1 and 80),
  add column least bigint,
  add column most bigint,
  add check (limit_key is null or num_nonnulls(least, most) > 0);
