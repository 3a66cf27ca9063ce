import { and, asc, eq, sql } from 'drizzle-orm';
import { foldSegment, lineProgress } from '../../db/schema/index.ts';
import type { FoldState } from '../domain/usage/fold-state.ts';
import type { Position } from '../domain/usage/run.ts';
import type { KeptVerdict, Segment, Share } from '../domain/usage/segment.ts';
import { builder, type Tx } from './tx.ts';

type SegmentRow = typeof foldSegment.$inferSelect;
type SharesRow = [assetId: string, day: string, grains: number][];

const showShares = (shares: readonly Share[]): SharesRow =>
  shares.map(({ assetId, day, grains }) => [assetId, day, grains]);

const readShares = (rows: unknown): Share[] =>
  (rows as SharesRow).map(([assetId, day, grains]) => ({
    assetId,
    day,
    grains,
  }));

function toSegment(row: SegmentRow): Segment {
  return {
    utcDay: row.utcDay,
    start: { ordinal: row.startOrdinal, seq: row.startSeq },
    end: { ordinal: row.endOrdinal, seq: row.endSeq },
    readings: row.readings,
    state: row.state as FoldState,
    shares: readShares(row.shares),
    verdicts: row.verdicts as KeptVerdict[],
    unlisted: row.unlisted,
  };
}

function toRow(fleetId: number, lineId: number, segment: Segment): SegmentRow {
  const days = segment.shares.map((share) => share.day);
  return {
    fleetId,
    lineId,
    startOrdinal: segment.start.ordinal,
    startSeq: segment.start.seq,
    endOrdinal: segment.end.ordinal,
    endSeq: segment.end.seq,
    utcDay: segment.utcDay,
    readings: segment.readings,
    state: segment.state,
    shares: showShares(segment.shares),
    verdicts: segment.verdicts,
    unlisted: segment.unlisted,
    firstDay: days.length > 0 ? days.reduce((a, b) => (a < b ? a : b)) : null,
    lastDay: days.length > 0 ? days.reduce((a, b) => (a > b ? a : b)) : null,
  };
}

/** A line of ten years has fewer segments than this. */
const segmentsMax = 20_000;

/** The last segment that ends before `from`, if any, and all after it, in order. */
export async function segmentsFrom(
  tx: Tx,
  fleetId: number,
  lineId: number,
  from: Position,
): Promise<Segment[]> {
  const rows = await builder(tx)
    .select()
    .from(foldSegment)
    .where(
      and(
        eq(foldSegment.fleetId, fleetId),
        eq(foldSegment.lineId, lineId),
        sql`(${foldSegment.startOrdinal}, ${foldSegment.startSeq}) >= (
          select s.start_ordinal, s.start_seq from (
            select p.start_ordinal, p.start_seq from liftwright.fold_segment p
            where p.fleet_id = ${fleetId} and p.line_id = ${lineId}
              and (p.end_ordinal, p.end_seq) < (${from.ordinal}::int, ${from.seq}::bigint)
            union all select -1, -1
          ) s order by 1 desc, 2 desc limit 1)`,
      ),
    )
    .orderBy(asc(foldSegment.startOrdinal), asc(foldSegment.startSeq))
    .limit(segmentsMax);
  return rows.map(toSegment);
}

/** The last segment of a line before a UTC day; for looking into one day. */
export async function segmentBefore(
  tx: Tx,
  fleetId: number,
  lineId: number,
  utcDay: number,
): Promise<Segment | null> {
  const rows = await builder(tx)
    .select()
    .from(foldSegment)
    .where(
      and(
        eq(foldSegment.fleetId, fleetId),
        eq(foldSegment.lineId, lineId),
        sql`${foldSegment.utcDay} < ${utcDay}`,
      ),
    )
    .orderBy(sql`${foldSegment.startOrdinal} desc, ${foldSegment.startSeq} desc`)
    .limit(1);
  return rows[0] ? toSegment(rows[0]) : null;
}

export async function replaceSegments(
  tx: Tx,
  fleetId: number,
  lineId: number,
  gone: readonly Segment[],
  fresh: readonly Segment[],
): Promise<void> {
  const db = builder(tx);
  if (gone.length > 0) {
    await tx.query(
      `delete from liftwright.fold_segment s
       using unnest($3::int[], $4::bigint[]) as g (ordinal, seq)
       where s.fleet_id = $1 and s.line_id = $2
         and s.start_ordinal = g.ordinal and s.start_seq = g.seq`,
      [fleetId, lineId, gone.map((s) => s.start.ordinal), gone.map((s) => s.start.seq)],
    );
  }
  const rows = fresh.map((segment) => toRow(fleetId, lineId, segment));
  for (let i = 0; i < rows.length; i += 500) {
    await db.insert(foldSegment).values(rows.slice(i, i + 500));
  }
}

/** The use that all segments of a line give on the days from..to, by asset and day. */
export async function sharesOnDays(
  tx: Tx,
  fleetId: number,
  lineId: number,
  fromDay: string,
  toDay: string,
): Promise<Share[]> {
  const { rows } = await tx.query(
    `select s.share ->> 0 as asset_id, s.share ->> 1 as day, sum((s.share ->> 2)::bigint) as grains
     from liftwright.fold_segment f, jsonb_array_elements(f.shares) as s (share)
     where f.fleet_id = $1 and f.line_id = $2 and f.last_day >= $3 and f.first_day <= $4
       and s.share ->> 1 between $3::text and $4::text
     group by 1, 2`,
    [fleetId, lineId, fromDay, toDay],
  );
  return rows.map((row) => ({
    assetId: row.asset_id,
    day: row.day,
    grains: Number(row.grains),
  }));
}

export interface LineProgress {
  lastAtMs: number | null;
  lastRaw: number | null;
  provisional: Share[];
}

export async function lineProgressOf(
  tx: Tx,
  fleetId: number,
  lineId: number,
): Promise<LineProgress | null> {
  const rows = await builder(tx)
    .select()
    .from(lineProgress)
    .where(and(eq(lineProgress.fleetId, fleetId), eq(lineProgress.lineId, lineId)));
  const row = rows[0];
  if (!row) return null;
  const { lastAtMs, lastRaw } = row;
  return { lastAtMs, lastRaw, provisional: readShares(row.provisional) };
}

export async function saveLineProgress(
  tx: Tx,
  fleetId: number,
  lineId: number,
  progress: LineProgress,
  foldedAtMs: number,
): Promise<void> {
  const { lastAtMs, lastRaw } = progress;
  const set = {
    lastAtMs,
    lastRaw,
    provisional: showShares(progress.provisional),
    foldedAtMs,
  };
  await builder(tx)
    .insert(lineProgress)
    .values({ fleetId, lineId, ...set })
    .onConflictDoUpdate({
      target: [lineProgress.fleetId, lineProgress.lineId],
      set,
    });
}

/** The segments of a line that have verdicts, in order. */
export async function verdictSegments(tx: Tx, fleetId: number, lineId: number): Promise<Segment[]> {
  const rows = await builder(tx)
    .select()
    .from(foldSegment)
    .where(
      and(
        eq(foldSegment.fleetId, fleetId),
        eq(foldSegment.lineId, lineId),
        sql`${foldSegment.verdicts} <> '[]'::jsonb`,
      ),
    )
    .orderBy(asc(foldSegment.startOrdinal), asc(foldSegment.startSeq))
    .limit(segmentsMax);
  return rows.map(toSegment);
}
