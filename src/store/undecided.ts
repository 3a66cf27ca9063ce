/** SQL of what waits for a person's word, for the rows of `counter c` around it. */

const noWordYet = (line: string) => `not exists (
  select from liftwright.reading_decision d
  where d.fleet_id = c.fleet_id and d.line_id = ${line} and d.ordinal = v.ordinal
    and d.seq = v.seq and d.subject = 'jump' and d.raw = v.raw)`;

/** A row for each jump that a line went on from, and for one that is still set aside. */
export const jumpsWaiting = `
  select v.seq from liftwright.stream s
  join liftwright.fold_segment f on f.fleet_id = s.fleet_id and f.line_id = s.line_id
    and f.verdicts @> '[{"verdict": "rebase"}]'
  cross join lateral jsonb_to_recordset(f.verdicts)
    as v (verdict text, ordinal int, seq bigint, raw bigint)
  where s.fleet_id = c.fleet_id and s.counter_id = c.counter_id and v.verdict = 'rebase'
    and v.ordinal = s.ordinal and ${noWordYet('s.line_id')}
  union all
  select v.seq from liftwright.line_progress p
  cross join lateral (
    select (h.a ->> 'ordinal')::int as ordinal, (h.a ->> 'seq')::bigint as seq,
      (h.a ->> 'raw')::bigint as raw
    from (select f.state -> 'aside' -> 0 as a from liftwright.fold_segment f
      where f.fleet_id = p.fleet_id and f.line_id = p.line_id
      order by f.start_ordinal desc, f.start_seq desc limit 1) h
    where h.a is not null) v
  join liftwright.stream s on s.fleet_id = p.fleet_id and s.line_id = p.line_id
    and s.ordinal = v.ordinal and s.counter_id = c.counter_id
  where p.fleet_id = c.fleet_id and p.line_id = c.line_id and p.in_doubt
    and ${noWordYet('p.line_id')}`;

/** A row for each other value that came with a number. */
export const conflictsWaiting = `
  select k.seq from liftwright.stream s
  join liftwright.reading_conflict k on k.fleet_id = s.fleet_id and k.stream_id = s.stream_id
  where s.fleet_id = c.fleet_id and s.counter_id = c.counter_id and k.decision is null`;
