import { localDay } from '../domain/usage/local-day.ts';
import { dialStarts, type HandReadingRow } from '../store/hand-reading.ts';
import { lastReadings } from '../store/meter-source.ts';
import type { Tx } from '../store/tx.ts';
import { assetWork } from '../store/unit-work.ts';
import { zoneOfAsset } from './asset-zone.ts';
import { type LookupSource, UseLookup } from './look-up-use.ts';
import { openBook, useBetween } from './use-book.ts';

/** What a dial would show by the use that the ledger has. */
export interface LedgerCheck {
  /** The first reading of the dial, from where on they are compared. */
  sinceMs: number;
  grains: number;
  /** The counting device's last reading, where that is before this one. */
  knownToMs: number | null;
}

interface ToCheck {
  row: HandReadingRow;
  start: { atMs: number; grains: number };
}

/** Whether a device counted anywhere between two moments. */
const deviceCounts = (sources: readonly LookupSource[], { row, start }: ToCheck): boolean =>
  sources.some(
    ({ meter, lineId, fromMs, toMs }) =>
      meter === row.meter &&
      lineId !== row.lineId &&
      fromMs < row.atMs &&
      (toMs ?? Infinity) > start.atMs,
  );

async function readingsToCheck(
  tx: Tx,
  fleetId: number,
  rows: readonly HandReadingRow[],
  sources: readonly LookupSource[],
): Promise<ToCheck[]> {
  const found: ToCheck[] = [];
  for (const meter of new Set(rows.map((row) => row.meter))) {
    const own = rows.filter((row) => row.meter === meter && row.voidedAtMs === null);
    if (!own[0]) continue;
    const starts = await dialStarts(tx, fleetId, own[0]);
    for (const row of own) {
      const start = starts.findLast(({ atMs }) => atMs <= row.atMs);
      if (!start || start.atMs === row.atMs) continue;
      if (deviceCounts(sources, { row, start })) found.push({ row, start });
    }
  }
  return found;
}

async function checkAsset(
  tx: Tx,
  fleetId: number,
  rows: readonly HandReadingRow[],
  nowMs: number,
): Promise<[readingId: string, LedgerCheck][]> {
  const { assetId } = rows[0]!;
  const { sources, uses } = await assetWork(tx, fleetId, assetId, 0);
  const toCheck = await readingsToCheck(tx, fleetId, rows, sources);
  if (toCheck.length === 0) return [];
  const { zone, isOnUnit } = await zoneOfAsset(tx, fleetId, assetId, nowMs);
  // Answers in another calendar than the unit's are not to be found by its assessment.
  const lookup = new UseLookup(
    tx,
    { fleetId, assetId, zone },
    sources,
    isOnUnit ? uses : [],
    isOnUnit,
  );
  const point = (atMs: number) => ({ day: localDay(atMs, zone), atMs });
  const firstMs = Math.min(...toCheck.map(({ start }) => start.atMs));
  const instants = toCheck.flatMap(({ row, start }) =>
    [start.atMs, row.atMs].map((atMs) => ({ meters: [row.meter], atMs })),
  );
  const asset = { fleetId, assetId };
  const book = await openBook(lookup, tx, asset, localDay(firstMs, zone), instants);
  const last = await lastReadings(tx, fleetId, [...new Set(sources.map((each) => each.lineId))]);
  return toCheck.map(({ row, start }) => {
    const use = useBetween(book, row.meter, point(start.atMs), point(row.atMs));
    const used = use.days.reduce((sum, { grains }) => sum + grains, use.afterDone);
    const counting = sources.find(
      ({ meter, lineId, fromMs, toMs }) =>
        meter === row.meter &&
        lineId !== row.lineId &&
        fromMs <= row.atMs &&
        row.atMs < (toMs ?? Infinity),
    );
    const lastMs = counting ? (last.get(counting.lineId) ?? counting.fromMs) : row.atMs;
    const knownToMs = lastMs < row.atMs ? lastMs : null;
    return [row.readingId, { sinceMs: start.atMs, grains: start.grains + used, knownToMs }];
  });
}

/**
 * Compares readings by hand with the use that devices counted and people adjusted since the first
 * reading of the same dial. Readings that no device's use can be held against have no answer.
 */
export async function checkAgainstLedger(
  tx: Tx,
  fleetId: number,
  rows: readonly HandReadingRow[],
  nowMs: number,
): Promise<Map<string, LedgerCheck>> {
  const checks = new Map<string, LedgerCheck>();
  for (const assetId of new Set(rows.map((row) => row.assetId))) {
    const own = rows.filter((row) => row.assetId === assetId);
    for (const [id, check] of await checkAsset(tx, fleetId, own, nowMs)) checks.set(id, check);
  }
  return checks;
}
