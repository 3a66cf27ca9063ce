-- The bring-in list of one yard, in its order: a yard of ten units must not cost a walk through
-- the standings of the whole fleet.
create index unit_standing_of_yard on liftwright.unit_standing
  (fleet_id, yard_id, rank, press_on, unit_id);
