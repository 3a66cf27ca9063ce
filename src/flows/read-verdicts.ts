import { type KeptVerdict, verdictsInForce } from '../domain/usage/segment.ts';
import { countersOf } from '../store/counter.ts';
import { verdictSegments } from '../store/fold-segment.ts';
import { type OpenConflict, openConflicts } from '../store/reading.ts';
import type { Tx } from '../store/tx.ts';

export interface CounterVerdict extends KeptVerdict {
  counter: string;
  meter: string;
}

const verdictsMax = 2_000;
const conflictsMax = 1_000;

/** The verdicts that stand for a gateway's counters, the newest `verdictsMax`, oldest first. */
export async function readVerdicts(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
): Promise<{ verdicts: CounterVerdict[]; conflicts: OpenConflict[] }> {
  const verdicts: CounterVerdict[] = [];
  for (const { name, line } of await countersOf(tx, fleetId, [gatewayId])) {
    const segments = await verdictSegments(tx, fleetId, line.lineId);
    for (const verdict of verdictsInForce(segments)) {
      verdicts.push({ ...verdict, counter: name, meter: line.meter });
    }
  }
  verdicts.sort((a, b) => a.atMs - b.atMs);
  return {
    verdicts: verdicts.slice(-verdictsMax),
    conflicts: await openConflicts(tx, fleetId, gatewayId, conflictsMax),
  };
}
