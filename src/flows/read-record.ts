import { instantText } from '../domain/instant.ts';
import {
  kindsOfSection,
  RECORD_SECTIONS,
  type RecordSection,
  recordBy,
  recordKinds,
  recordWords,
  shownData,
} from '../domain/shop/record-kind.ts';
import {
  type AssetSpan,
  type KnownRow,
  namedRowsAsKnown,
  partsAsKnown,
  type RecordKey,
  type RecordOf,
  rowsAsKnown,
} from '../store/record-version.ts';
import type { Tx } from '../store/tx.ts';
import { absent } from './must-find.ts';

/** Whose record is asked for. */
export type RecordSubject = { unitId: string } | { assetId: string };

/** A row with what belongs to it, and what belongs to that. */
export interface KnownEntry {
  row: KnownRow;
  parts: KnownEntry[];
}

const installsMost = 1_000;
const farFuture = 253_402_300_799_000;

const instantOf = (value: unknown): number => Date.parse(String(value));

/** The assets that were on a unit, and when, as it was known at an event. */
export async function assetsAsKnown(
  tx: Tx,
  fleetId: number,
  event: number,
  unitId: string,
): Promise<AssetSpan[]> {
  const of: RecordOf = { unitId, assets: [] };
  const rows = await rowsAsKnown(tx, fleetId, event, of, ['install'], null, installsMost);
  return rows.flatMap(({ data }) => {
    if (typeof data.asset_id !== 'string') return [];
    const { during } = shownData(data) as { during: { from: string; to: string | null } };
    const toMs = during.to === null ? null : instantOf(during.to);
    return [{ assetId: data.asset_id, fromMs: instantOf(during.from), toMs }];
  });
}

/** Whose record it is as it was known at an event. @throws Problem not_found */
export async function recordOf(
  tx: Tx,
  fleetId: number,
  event: number,
  subject: RecordSubject,
): Promise<RecordOf> {
  const [kind, rowId] = 'unitId' in subject ? ['unit', subject.unitId] : ['asset', subject.assetId];
  const [there] = await namedRowsAsKnown(tx, fleetId, event, [{ kind, rowId }]);
  if (!there) throw absent(kind);
  if ('unitId' in subject) {
    const { unitId } = subject;
    return { unitId, assets: await assetsAsKnown(tx, fleetId, event, unitId) };
  }
  const { assetId } = subject;
  return { unitId: null, assets: [{ assetId, fromMs: 0, toMs: farFuture }] };
}

const levelsMost = 3;
const idOf = (row: KnownRow) => row.rowId;
/** What is known by its place in something else has nothing of its own. */
const hasId = (row: KnownRow) => !row.rowId.includes('/');

/** Rows with what belongs to them, down to what belongs to a step of a card. */
async function withParts(
  tx: Tx,
  fleetId: number,
  event: number,
  rows: readonly KnownRow[],
  level = 0,
): Promise<KnownEntry[]> {
  if (rows.length === 0 || level >= levelsMost) return rows.map((row) => ({ row, parts: [] }));
  const parts = await partsAsKnown(tx, fleetId, event, rows.filter(hasId).map(idOf));
  const below = await withParts(tx, fleetId, event, parts, level + 1);
  return rows.map((row) => ({
    row,
    parts: hasId(row) ? below.filter((each) => each.row.parentId === row.rowId) : [],
  }));
}

export const kindsOf = (section: RecordSection | null): string[] =>
  section === null
    ? RECORD_SECTIONS.flatMap((each) => kindsOfSection(each))
    : kindsOfSection(section);

/** A page of a record as it was known at an event. @throws Problem not_found */
export async function readRecordPage(
  tx: Tx,
  fleetId: number,
  event: number,
  asked: { subject: RecordSubject; section: RecordSection | null },
  after: RecordKey | null,
  limit: number,
): Promise<KnownEntry[]> {
  const of = await recordOf(tx, fleetId, event, asked.subject);
  const kinds = kindsOf(asked.section);
  const rows = await rowsAsKnown(tx, fleetId, event, of, kinds, after, limit);
  return withParts(tx, fleetId, event, rows);
}

const moment = ({ number, atMs }: KnownRow['since']) => ({
  event: number,
  recordedAt: atMs === 0 ? null : instantText(atMs),
});

export interface ShownPart {
  kind: string;
  id: string;
  at: string | null;
  words: string;
  by: string | null;
  knownSince: { event: number; recordedAt: string | null };
  lastChanged: { event: number; recordedAt: string | null };
  data: Record<string, unknown>;
  parts: ShownPart[];
}
export interface ShownEntry extends ShownPart {
  section: RecordSection;
}

function showPart({ row, parts }: KnownEntry): ShownPart {
  return {
    kind: row.kind,
    id: row.rowId,
    at: row.atMs === 0 ? null : instantText(row.atMs),
    words: recordWords(row.kind, row.data),
    by: recordBy(row.data),
    knownSince: moment(row.since),
    lastChanged: moment(row.changed),
    data: shownData(row.data),
    parts: parts.map(showPart),
  };
}

/** An entry of the record as it is sent. */
export const showRecordEntry = (entry: KnownEntry): ShownEntry => ({
  section: recordKinds[entry.row.kind]?.section ?? 'unit',
  ...showPart(entry),
});
