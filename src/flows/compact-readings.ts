import { compactRuns, streamsToCompact } from '../store/compaction.ts';
import { allFleets } from '../store/sweep.ts';
import { Faults } from './faults.ts';
import type { FlowDeps } from './work.ts';

const dayMs = 86_400_000;
/** Runs stay as they came for so long: resends and late readings are mostly over by then. */
const untouchedMs = 2 * dayMs;
const streamsAtOnce = 500;
/** Rows that one transaction looks at. */
const runsAtOnce = 5_000;

/**
 * Joins the small runs of all streams, up to the midnight (UTC) of two days ago; answers how many
 * rows fewer there are. May be stopped and run again at any time. A stream that fails holds up
 * none of the others.
 */
export async function compactReadings(deps: FlowDeps, signal?: AbortSignal): Promise<number> {
  const { scheduler } = deps.pools;
  const beforeMs = Math.floor((deps.clock.nowMs() - untouchedMs) / dayMs) * dayMs;
  const faults = new Faults();
  let gone = 0;
  for (const fleetId of await allFleets(scheduler)) {
    for (let last = 0; ; ) {
      const streams = await streamsToCompact(scheduler, fleetId, beforeMs, last, streamsAtOnce);
      for (const streamId of streams) {
        await faults.pass(`${fleetId}/${streamId}`, async () => {
          let after: number | null = -1;
          while (after !== null && !signal?.aborted) {
            const done = await compactRuns(
              scheduler,
              fleetId,
              streamId,
              beforeMs,
              after,
              runsAtOnce,
            );
            gone += done.gone;
            after = done.goOnAfter;
          }
        });
        if (signal?.aborted) return gone;
      }
      if (streams.length < streamsAtOnce) break;
      last = streams.at(-1) as number;
    }
  }
  faults.tell();
  return gone;
}
