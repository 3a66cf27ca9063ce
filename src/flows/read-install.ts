import { Problem } from '../errors.ts';
import {
  type CorrectionRow,
  correctionsOf,
  findInstall,
  type InstallRow,
} from '../store/install.ts';
import type { Tx } from '../store/tx.ts';

const correctionsMax = 500;

export interface InstallHistory {
  /** As it stands, or as it stood when it was withdrawn. */
  row: InstallRow;
  withdrawn: boolean;
  corrections: CorrectionRow[];
}

/** An install with what it said before. @throws Problem not_found */
export async function readInstall(
  tx: Tx,
  fleetId: number,
  installId: string,
): Promise<InstallHistory> {
  const corrections = await correctionsOf(tx, fleetId, installId, correctionsMax);
  const stands = await findInstall(tx, fleetId, installId);
  if (stands) return { row: stands, withdrawn: false, corrections };
  const last = corrections.findLast((each) => each.kind === 'withdrawn');
  if (!last) throw new Problem('not_found', 'There is no such install in this fleet.');
  const { unitId, assetId, gatewayId, during, note, installedAtMs: createdAtMs } = last;
  const row = { fleetId, installId, unitId, assetId, gatewayId, during, note, createdAtMs };
  return { row, withdrawn: true, corrections };
}
