import { and, asc, desc, eq, gt, sql } from 'drizzle-orm';
import { partLife, partLifeEntry } from '../../db/schema/index.ts';
import { builder, type Tx } from './tx.ts';

export type PartLifeRow = typeof partLife.$inferSelect;
export type PartLifeEntryRow = typeof partLifeEntry.$inferSelect;

/** A part, and the entry that holds: the last one. */
export interface PartLife {
  life: PartLifeRow;
  entry: PartLifeEntryRow;
}

export async function insertPartLife(tx: Tx, row: PartLifeRow): Promise<void> {
  await builder(tx).insert(partLife).values(row);
}

export async function insertPartLifeEntry(tx: Tx, row: PartLifeEntryRow): Promise<void> {
  await builder(tx).insert(partLifeEntry).values(row);
}

const ofLife = and(
  eq(partLifeEntry.fleetId, partLife.fleetId),
  eq(partLifeEntry.lifeId, partLife.lifeId),
);
const isLast = sql`${partLifeEntry.entryNo} = (select max(e.entry_no)
  from liftwright.part_life_entry e
  where e.fleet_id = ${partLife.fleetId} and e.life_id = ${partLife.lifeId})`;

const lives = (tx: Tx) =>
  builder(tx)
    .select({ life: partLife, entry: partLifeEntry })
    .from(partLife)
    .innerJoin(partLifeEntry, and(ofLife, isLast));

export async function findPartLife(
  tx: Tx,
  fleetId: number,
  lifeId: string,
): Promise<PartLife | null> {
  const rows = await lives(tx).where(
    and(eq(partLife.fleetId, fleetId), eq(partLife.lifeId, lifeId)),
  );
  return rows[0] ?? null;
}

export interface Place {
  assetId: string;
  part?: string | undefined;
  pointKey?: string | undefined;
}

const atPlace = (fleetId: number, place: Place) =>
  and(
    eq(partLife.fleetId, fleetId),
    eq(partLife.assetId, place.assetId),
    place.part === undefined ? undefined : eq(partLife.part, place.part),
    place.pointKey === undefined ? undefined : eq(partLife.pointKey, place.pointKey),
  );

/** Parts of an asset, in the order of telling; also those that were voided. */
export async function listPartLives(
  tx: Tx,
  fleetId: number,
  place: Place & { fitted?: boolean | undefined },
  after: [lifeId: string] | null,
  limit: number,
): Promise<PartLife[]> {
  const inPlace = sql`${partLifeEntry.kind} <> 'voided' and ${partLifeEntry.removedAtMs} is null`;
  return lives(tx)
    .where(
      and(
        atPlace(fleetId, place),
        place.fitted === undefined ? undefined : place.fitted ? inPlace : sql`not (${inPlace})`,
        after ? gt(partLife.lifeId, after[0]) : undefined,
      ),
    )
    .orderBy(asc(partLife.lifeId))
    .limit(limit);
}

const placeMost = 1_000;

/** The parts that a place had and has, without those that never were; the last fitted first. */
export async function livesAtPlace(
  tx: Tx,
  fleetId: number,
  place: Required<Place>,
): Promise<PartLife[]> {
  return lives(tx)
    .where(and(atPlace(fleetId, place), sql`${partLifeEntry.kind} <> 'voided'`))
    .orderBy(desc(partLifeEntry.fittedAtMs))
    .limit(placeMost);
}

/** All that was ever said of a part, in order. */
export async function entriesOfLife(
  tx: Tx,
  fleetId: number,
  lifeId: string,
): Promise<PartLifeEntryRow[]> {
  return builder(tx)
    .select()
    .from(partLifeEntry)
    .where(and(eq(partLifeEntry.fleetId, fleetId), eq(partLifeEntry.lifeId, lifeId)))
    .orderBy(asc(partLifeEntry.entryNo))
    .limit(placeMost);
}
