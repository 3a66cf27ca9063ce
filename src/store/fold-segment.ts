import type { FoldState } from '../domain/usage/fold-state.ts';
import type { Position } from '../domain/usage/run.ts';
import type { KeptVerdict, Segment, Share } from '../domain/usage/segment.ts';
import type { Tx } from './tx.ts';

type SharesRow = [assetId: string, day: string, grains: number][];

const showShares = (shares: readonly Share[]): SharesRow =>
  shares.map(({ assetId, day, grains }) => [assetId, day, grains]);

const readShares = (rows: unknown): Share[] =>
  (rows as SharesRow).map(([assetId, day, grains]) => ({
    assetId,
    day,
    grains,
  }));

function toColumns(segment: Segment) {
  const days = segment.shares.map((share) => share.day);
  return {
    start_ordinal: segment.start.ordinal,
    start_seq: segment.start.seq,
    end_ordinal: segment.end.ordinal,
    end_seq: segment.end.seq,
    utc_day: segment.utcDay,
    readings: segment.readings,
    state: segment.state,
    shares: showShares(segment.shares),
    verdicts: segment.verdicts,
    unlisted: segment.unlisted,
    first_day: days.length > 0 ? days.reduce((a, b) => (a < b ? a : b)) : null,
    last_day: days.length > 0 ? days.reduce((a, b) => (a > b ? a : b)) : null,
  };
}

const segmentsAtOnce = 500;

/** A line of ten years has fewer segments than this. */
const segmentsMax = 20_000;

const segmentColumns = `start_ordinal, start_seq, end_ordinal, end_seq, utc_day, readings, state,
  shares, verdicts, unlisted`;

function fromColumns(row: Record<string, unknown>): Segment {
  return {
    utcDay: row.utc_day as number,
    start: { ordinal: row.start_ordinal as number, seq: Number(row.start_seq) },
    end: { ordinal: row.end_ordinal as number, seq: Number(row.end_seq) },
    readings: Number(row.readings),
    state: row.state as FoldState,
    shares: readShares(row.shares),
    verdicts: row.verdicts as KeptVerdict[],
    unlisted: row.unlisted as number,
  };
}

/** The last segment that ends before `from`, if any, and all after it, in order. */
export async function segmentsFrom(
  tx: Tx,
  fleetId: number,
  lineId: number,
  from: Position,
): Promise<Segment[]> {
  const { rows } = await tx.query({
    name: 'segments_from',
    text: `select ${segmentColumns} from liftwright.fold_segment
      where fleet_id = $1 and line_id = $2 and (start_ordinal, start_seq) >= (
        select s.start_ordinal, s.start_seq from (
          (select p.start_ordinal, p.start_seq from liftwright.fold_segment p
            where p.fleet_id = $1 and p.line_id = $2
              and (p.start_ordinal, p.start_seq) < ($3::int, $4::bigint)
              and (p.end_ordinal, p.end_seq) < ($3::int, $4::bigint)
            order by 1 desc, 2 desc limit 1)
          union all select -1, -1) s
        order by 1 desc, 2 desc limit 1)
      order by start_ordinal, start_seq limit $5`,
    values: [fleetId, lineId, from.ordinal, from.seq, segmentsMax],
  });
  return rows.map(fromColumns);
}

/** The last segment of a line before a UTC day; for looking into one day. */
export async function segmentBefore(
  tx: Tx,
  fleetId: number,
  lineId: number,
  utcDay: number,
): Promise<Segment | null> {
  const { rows } = await tx.query({
    name: 'segment_before',
    text: `select ${segmentColumns} from liftwright.fold_segment
      where fleet_id = $1 and line_id = $2 and utc_day < $3
      order by start_ordinal desc, start_seq desc limit 1`,
    values: [fleetId, lineId, utcDay],
  });
  return rows[0] ? fromColumns(rows[0]) : null;
}

/** Puts segments in the place of others. A segment that only grew keeps its row. */
export async function replaceSegments(
  tx: Tx,
  fleetId: number,
  lineId: number,
  gone: readonly Segment[],
  fresh: readonly Segment[],
): Promise<void> {
  const keyOf = ({ start }: Segment) => `${start.ordinal}/${start.seq}`;
  const kept = new Set(fresh.map(keyOf));
  const removed = gone.filter((segment) => !kept.has(keyOf(segment)));
  if (removed.length > 0) {
    await tx.query(
      `delete from liftwright.fold_segment s
       using unnest($3::int[], $4::bigint[]) as g (ordinal, seq)
       where s.fleet_id = $1 and s.line_id = $2
         and s.start_ordinal = g.ordinal and s.start_seq = g.seq`,
      [fleetId, lineId, removed.map((s) => s.start.ordinal), removed.map((s) => s.start.seq)],
    );
  }
  for (let i = 0; i < fresh.length; i += segmentsAtOnce) {
    const part = fresh.slice(i, i + segmentsAtOnce).map((segment) => toColumns(segment));
    await tx.query({
      name: 'write_segments',
      text: `insert into liftwright.fold_segment (fleet_id, line_id, ${segmentColumns},
          first_day, last_day)
        select $1, $2, start_ordinal, start_seq, end_ordinal, end_seq, utc_day, readings, state,
          shares, verdicts, unlisted, first_day, last_day
        from jsonb_to_recordset($3) as r (start_ordinal int, start_seq bigint, end_ordinal int,
          end_seq bigint, utc_day int, readings bigint, state jsonb, shares jsonb, verdicts jsonb,
          unlisted int, first_day date, last_day date)
        on conflict (fleet_id, line_id, start_ordinal, start_seq) do update set
          end_ordinal = excluded.end_ordinal, end_seq = excluded.end_seq,
          utc_day = excluded.utc_day, readings = excluded.readings, state = excluded.state,
          shares = excluded.shares, verdicts = excluded.verdicts, unlisted = excluded.unlisted,
          first_day = excluded.first_day, last_day = excluded.last_day`,
      values: [fleetId, lineId, JSON.stringify(part)],
    });
  }
}

/** The segments of a line that have verdicts, in order. */
export async function verdictSegments(tx: Tx, fleetId: number, lineId: number): Promise<Segment[]> {
  const { rows } = await tx.query({
    name: 'verdict_segments',
    text: `select ${segmentColumns} from liftwright.fold_segment
      where fleet_id = $1 and line_id = $2 and verdicts <> '[]'::jsonb
      order by start_ordinal, start_seq limit $3`,
    values: [fleetId, lineId, segmentsMax],
  });
  return rows.map(fromColumns);
}
