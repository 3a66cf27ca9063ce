import { Problem } from '../errors.ts';
import { assetsOnUnit } from '../store/install.ts';
import type { StopRow } from '../store/stop.ts';
import type { Actor, SignedActor } from './actor.ts';
import { mustFindUnit } from './must-find.ts';
import { type NewStop, setStop } from './set-stop.ts';
import type { Work } from './work.ts';

/** The unit is there, and the asset, where one is named, is on it now. @throws Problem */
export async function mustBeOnUnit(
  work: Work,
  unitId: string,
  assetId: string | null,
): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  await mustFindUnit(tx, fleetId, unitId, nowMs);
  if (assetId === null) return;
  const here = await assetsOnUnit(tx, fleetId, unitId, nowMs);
  if (!here.some((asset) => asset.assetId === assetId)) {
    throw new Problem('reference_unknown', 'assetId names nothing that is on this unit now.');
  }
}

/**
 * Sets a stop that somebody asks for. A restriction is of dispatch and nobody else's.
 *
 * @throws Problem not_found, reference_unknown, signature_missing, competence_missing,
 *   stop_impossible, time_invalid
 */
export async function placeStop(
  work: Work,
  by: Actor,
  signed: SignedActor | null,
  input: NewStop,
): Promise<StopRow> {
  await mustBeOnUnit(work, input.unitId, input.assetId);
  if (signed === null && (input.kind === 'work_lock' || input.kind === 'restriction')) {
    throw new Problem('signature_missing', 'Send who signs it in `signature`.');
  }
  if (input.kind === 'restriction' && !signed?.competences.includes('dispatch')) {
    throw new Problem('competence_missing', 'A restriction is for somebody of dispatch to set.');
  }
  return setStop(work, by, input);
}
