import { and, asc, eq, type SQL, sql } from 'drizzle-orm';
import { counter, foldLine, stream } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type LineRow = typeof foldLine.$inferSelect;
export type StreamRow = typeof stream.$inferSelect;

export interface CounterRow {
  counterId: number;
  name: string;
  gatewayId: string;
  declaredAtMs: number;
  line: LineRow;
}

const counterWithLine = {
  counterId: counter.counterId,
  name: counter.name,
  gatewayId: counter.gatewayId,
  declaredAtMs: counter.declaredAtMs,
  line: foldLine,
};
const lineOfCounter = and(
  eq(foldLine.fleetId, counter.fleetId),
  eq(foldLine.lineId, counter.lineId),
);

/** Counters with their lines, in order of declaration. */
async function countersWhere(tx: Tx, fleetId: number, which: SQL): Promise<CounterRow[]> {
  return builder(tx)
    .select(counterWithLine)
    .from(counter)
    .innerJoin(foldLine, lineOfCounter)
    .where(and(eq(counter.fleetId, fleetId), which))
    .orderBy(asc(counter.counterId));
}

export function countersOf(
  tx: Tx,
  fleetId: number,
  gatewayIds: readonly string[],
): Promise<CounterRow[]> {
  const ids = sql.param([...gatewayIds]);
  return countersWhere(tx, fleetId, sql`${counter.gatewayId} = any (${ids}::uuid[])`);
}

export function countersOfLines(
  tx: Tx,
  fleetId: number,
  lineIds: readonly number[],
): Promise<CounterRow[]> {
  const ids = sql.param([...lineIds]);
  return countersWhere(tx, fleetId, sql`${counter.lineId} = any (${ids}::bigint[])`);
}

export async function streamsOfCounters(
  tx: Tx,
  fleetId: number,
  counterIds: readonly number[],
): Promise<StreamRow[]> {
  return builder(tx)
    .select()
    .from(stream)
    .where(
      and(
        eq(stream.fleetId, fleetId),
        sql`${stream.counterId} = any (${sql.param([...counterIds])}::bigint[])`,
      ),
    )
    .orderBy(asc(stream.counterId), asc(stream.epoch));
}

/** What a line is for its whole life. */
export type LineMeaning = Pick<
  LineRow,
  | 'meter'
  | 'resolutionGrains'
  | 'widthBits'
  | 'minMsPerTick'
  | 'scope'
  | 'controller'
  | 'basis'
  | 'basisVersion'
>;

/** The line of a controller that counts exactly this, locked, or null. */
export async function lockControllerLine(
  tx: Tx,
  fleetId: number,
  controller: string,
  wanted: LineMeaning,
): Promise<LineRow | null> {
  const rows = await builder(tx)
    .select()
    .from(foldLine)
    .where(
      and(
        eq(foldLine.fleetId, fleetId),
        eq(foldLine.controller, controller),
        eq(foldLine.meter, wanted.meter),
        eq(foldLine.basis, wanted.basis),
        eq(foldLine.basisVersion, wanted.basisVersion),
        eq(foldLine.resolutionGrains, wanted.resolutionGrains),
        eq(foldLine.widthBits, wanted.widthBits),
      ),
    )
    .for('no key update');
  return rows[0] ?? null;
}

/** Holds off others who open streams of the line. */
export async function lockLine(tx: Tx, fleetId: number, lineId: number): Promise<void> {
  await builder(tx)
    .select({ lineId: foldLine.lineId })
    .from(foldLine)
    .where(and(eq(foldLine.fleetId, fleetId), eq(foldLine.lineId, lineId)))
    .for('no key update');
}

export async function insertLine(tx: Tx, row: typeof foldLine.$inferInsert): Promise<LineRow> {
  const rows = await builder(tx).insert(foldLine).values(row).returning();
  return rows[0] as LineRow;
}

export async function insertCounter(tx: Tx, row: typeof counter.$inferInsert): Promise<number> {
  const rows = await builder(tx)
    .insert(counter)
    .values(row)
    .returning({ counterId: counter.counterId });
  return rows[0]!.counterId;
}

/** Opens the next stream of a line; the line's row lock keeps ordinals in order. */
export async function openStream(
  tx: Tx,
  input: {
    fleetId: number;
    counterId: number;
    lineId: number;
    epoch: number;
    cause: StreamRow['cause'];
    openedAtMs: number;
  },
): Promise<StreamRow> {
  const { rows } = await tx.query(
    `update liftwright.fold_line set next_ordinal = next_ordinal + 1
     where fleet_id = $1 and line_id = $2 returning next_ordinal - 1 as ordinal`,
    [input.fleetId, input.lineId],
  );
  const opened = await builder(tx)
    .insert(stream)
    .values({ ...input, ordinal: rows[0].ordinal })
    .returning();
  return opened[0] as StreamRow;
}

/** Every line of a fleet. */
export async function linesOfFleet(tx: Tx, fleetId: number): Promise<number[]> {
  const rows = await builder(tx)
    .select({ lineId: foldLine.lineId })
    .from(foldLine)
    .where(eq(foldLine.fleetId, fleetId))
    .orderBy(asc(foldLine.lineId));
  return rows.map((row) => row.lineId);
}
