import { v7 as uuid } from 'uuid';
import { Problem } from '../errors.ts';
import {
  type CorrectionRow,
  deleteInstall,
  type InstallRow,
  insertCorrection,
  updateInstall,
} from '../store/install.ts';
import { earliestMs } from './keep-fleet.ts';
import type { Recorder } from './record-upkeep.ts';
import type { Work } from './work.ts';

const yearMs = 366 * 86_400_000;

/** @throws Problem time_invalid */
export function checkPeriod(fromMs: number, toMs: number | null, nowMs: number): void {
  const possible = fromMs >= earliestMs && fromMs <= nowMs + yearMs;
  if (!possible || (toMs !== null && toMs <= fromMs)) {
    throw new Problem('time_invalid', 'The install must end after it begins, at a possible date.');
  }
}

export interface Rewriting {
  kind: CorrectionRow['kind'];
  before: InstallRow;
  /** Null: it never was. */
  after: InstallRow | null;
  reason: string;
}

/** Says anew what an install says, and keeps what it said before. */
export async function rewriteInstall(
  work: Work,
  by: Recorder,
  { kind, before, after, reason }: Rewriting,
): Promise<CorrectionRow> {
  const { tx, fleetId, nowMs } = work;
  const { installId, assetId, gatewayId, unitId, during, note, createdAtMs } = before;
  const row: CorrectionRow = {
    fleetId,
    correctionId: uuid(),
    installId,
    kind,
    assetId,
    gatewayId,
    unitId,
    during,
    note,
    installedAtMs: createdAtMs,
    newUnitId: after?.unitId ?? null,
    newDuring: after?.during ?? null,
    newNote: after?.note ?? null,
    reason,
    recordedBy: `key/${by.keyId}`,
    recordedAtMs: nowMs,
  };
  await insertCorrection(tx, row);
  if (after) await updateInstall(tx, fleetId, after);
  else await deleteInstall(tx, fleetId, installId);
  return row;
}
