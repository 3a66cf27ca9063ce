import { verdictsInForce } from '../domain/usage/segment.ts';
import { verdictSegments } from '../store/fold-segment.ts';
import { type HandReadingRow, listHandReadings } from '../store/hand-reading.ts';
import { sourcesOfAssets } from '../store/meter-source.ts';
import type { Tx } from '../store/tx.ts';
import { checkAgainstLedger, type LedgerCheck } from './check-ledger.ts';
import { mustFindAsset } from './must-find.ts';

export interface ShownHandReading extends HandReadingRow {
  /** Readings by hand are what counts for the meter at that time. */
  counts: boolean;
  /** What the fold said of it, where it is no ordinary rise. */
  verdict: string | null;
  /** How it compares with the use that devices counted; null where none did. */
  check: LedgerCheck | null;
}

/** Readings of one asset with what became of them. */
export async function showHandReadings(
  tx: Tx,
  fleetId: number,
  rows: readonly HandReadingRow[],
  nowMs: number,
): Promise<ShownHandReading[]> {
  const assetIds = [...new Set(rows.map((row) => row.assetId))];
  const sources = await sourcesOfAssets(tx, fleetId, assetIds);
  const verdicts = new Map<string, string>();
  for (const lineId of new Set(rows.map((row) => row.lineId))) {
    const segments = await verdictSegments(tx, fleetId, lineId);
    for (const { seq, verdict } of verdictsInForce(segments)) {
      verdicts.set(`${lineId} ${seq}`, verdict);
    }
  }
  const checks = await checkAgainstLedger(tx, fleetId, rows, nowMs);
  return rows.map((row) => {
    const { atMs, lineId } = row;
    const counts = sources.some(
      ({ lineId: counting, during: { fromMs, toMs } }) =>
        counting === lineId && fromMs <= atMs && atMs < (toMs ?? Infinity),
    );
    const isVoid = row.voidedAtMs !== null;
    const verdict = isVoid ? null : (verdicts.get(`${lineId} ${atMs}`) ?? null);
    const check = checks.get(row.readingId) ?? null;
    return { ...row, counts: counts && !isVoid, verdict, check };
  });
}

/** What people read off the dials of an asset. @throws Problem not_found */
export async function readHandReadings(
  tx: Tx,
  fleetId: number,
  filter: { assetId: string; meter?: string | undefined; nowMs: number },
  after: [readingId: string] | null,
  limit: number,
): Promise<ShownHandReading[]> {
  await mustFindAsset(tx, fleetId, filter.assetId, filter.nowMs);
  const rows = await listHandReadings(tx, fleetId, filter, after, limit);
  return showHandReadings(tx, fleetId, rows, filter.nowMs);
}
