import { and, asc, eq, sql } from 'drizzle-orm';
import { incident, symptom } from '../../db/schema/index.ts';
import type { TroubleState } from '../domain/shop/trouble.ts';
import { builder, type Tx } from './tx.ts';

export type TroubleKind = 'symptom' | 'incident';

/** What symptoms and incidents have in common: what became of them. */
export interface Trouble {
  kind: TroubleKind;
  id: string;
  unitId: string;
  /** What it goes with; null: the unit. */
  assetId: string | null;
  state: TroubleState;
  cardId: string | null;
}

export interface TroubleEnding {
  state: TroubleState;
  cardId?: string | null;
  closedAtMs?: number;
  closedWords?: string;
  closedByPerson?: string;
  closedByKey?: string;
  closedByName?: string;
}

const tables = {
  symptom: { table: symptom, id: symptom.symptomId, assetId: symptom.assetId },
  incident: { table: incident, id: incident.incidentId, assetId: sql<null>`null::uuid` },
};

function columnsOf(kind: TroubleKind) {
  const { table, id, assetId } = tables[kind];
  return { id, assetId, unitId: table.unitId, state: table.state, cardId: table.cardId };
}

export async function updateTrouble(
  tx: Tx,
  fleetId: number,
  { kind, id }: Pick<Trouble, 'kind' | 'id'>,
  set: TroubleEnding,
): Promise<void> {
  const { table, id: key } = tables[kind];
  await builder(tx)
    .update(table)
    .set(set)
    .where(and(eq(table.fleetId, fleetId), eq(key, id)));
}

/** One of them, kept from others until the transaction ends. */
export async function lockTrouble(
  tx: Tx,
  fleetId: number,
  kind: TroubleKind,
  id: string,
): Promise<Trouble | null> {
  const { table, id: key } = tables[kind];
  const rows = await builder(tx)
    .select(columnsOf(kind))
    .from(table)
    .where(and(eq(table.fleetId, fleetId), eq(key, id)))
    .for('update');
  return rows[0] ? { kind, ...rows[0] } : null;
}

/** What rests on a job card in one of these states, kept from others until the transaction ends. */
export async function lockTroublesOfCard(
  tx: Tx,
  fleetId: number,
  cardId: string,
  state: 'on_card' | 'told',
): Promise<Trouble[]> {
  const found: Trouble[] = [];
  for (const kind of ['symptom', 'incident'] as const) {
    const { table, id: key } = tables[kind];
    const rows = await builder(tx)
      .select(columnsOf(kind))
      .from(table)
      .where(and(eq(table.fleetId, fleetId), eq(table.cardId, cardId), eq(table.state, state)))
      .orderBy(asc(key))
      .for('update');
    found.push(...rows.map((row) => ({ kind, ...row })));
  }
  return found;
}

/** Whether an asset is on a unit at an instant, as a condition on a column that holds its id. */
export const assetIsOn = (
  column: typeof symptom.assetId,
  fleetId: number,
  unitId: string,
  atMs: number,
) => sql`${column} in (select i.asset_id from liftwright.install i where i.fleet_id = ${fleetId}
  and i.unit_id = ${unitId}::uuid and i.asset_id is not null
  and i.during @> to_timestamp(${atMs}::float8 / 1000))`;
