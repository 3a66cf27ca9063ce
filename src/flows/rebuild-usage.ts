import { linesOfFleet } from '../store/counter.ts';
import { markWholeLines } from '../store/meter-source.ts';
import { withFleet } from '../store/pool.ts';
import { foldLineUsage } from './fold-usage.ts';
import { type FlowDeps, withWork } from './work.ts';

export interface Rebuilt {
  lines: number;
  segments: number;
  /** Rows of daily use that came out otherwise than they stood: 0 when all was well. */
  daysChanged: number;
  /** Lines that a worker was at; it folds them anew itself. */
  left: number;
}

/**
 * Folds every line of a fleet anew from its first reading that is not put away, one transaction a
 * line, while the service goes on. The projection comes out as it stood unless readings, sources or
 * rules changed unseen.
 */
export async function rebuildUsage(deps: FlowDeps, fleetId: number): Promise<Rebuilt> {
  const total: Rebuilt = { lines: 0, segments: 0, daysChanged: 0, left: 0 };
  const { app } = deps.pools;
  for (const lineId of await withFleet(app, [fleetId], (tx) => linesOfFleet(tx, fleetId))) {
    const folded = await withWork(deps, fleetId, async (work) => {
      for (const shard of await markWholeLines(work.tx, fleetId, [lineId], work.nowMs)) {
        work.wake('fold', shard);
      }
      return foldLineUsage(work, lineId);
    });
    total.lines += 1;
    if (folded === null) total.left += 1;
    else {
      total.segments += folded.segments;
      total.daysChanged += folded.daysChanged;
    }
  }
  return total;
}
