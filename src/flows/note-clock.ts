import { intakeBounds } from '../domain/usage/reading-intake.ts';
import { insertClockFact, lastClockFact } from '../store/gateway-contact.ts';
import { withFleet } from '../store/pool.ts';
import type { Contact } from '../store/reading.ts';
import type { Intake } from './record-readings.ts';
import { type FlowDeps, withWork } from './work.ts';

/** Offsets closer together than this are the same fact. */
const sameOffsetMs = 30_000;

/** Gateways whose clock this process knows to be right, so that a plain post asks nothing. */
const knownRight = new Set<string>();
const knownRightMax = 50_000;

/**
 * Makes a proven fast clock (and its recovery) a recorded fact of the gateway, once a change. What
 * was measured is never rewritten; the offset is kept with the runs that it covers.
 */
export async function noteClock(
  deps: FlowDeps,
  contact: Contact,
  intakes: readonly Intake[],
  deviceOffsetMs: number,
): Promise<void> {
  const { fleetId, gatewayId, receivedAtMs } = contact;
  const fromRuns = intakes.flatMap(({ runs }) => runs.map((run) => run.offsetMs));
  const offsetMs = Math.max(deviceOffsetMs, ...fromRuns, 0);
  const right = offsetMs === 0;
  const key = `${fleetId} ${gatewayId}`;
  // Only a stated device time proves that a clock is right again.
  if (right && (contact.deviceOffsetMs === null || knownRight.has(key))) return;
  const { batcher } = deps.pools;
  const last = await withFleet(batcher, [fleetId], (tx) => lastClockFact(tx, fleetId, gatewayId));
  if (Math.abs((last ?? 0) - offsetMs) >= (right ? 1 : sameOffsetMs)) {
    await withWork(
      deps,
      fleetId,
      async (work) => {
        await insertClockFact(work.tx, fleetId, gatewayId, receivedAtMs, offsetMs);
        work.record({
          type: right ? 'gateway.clock_right' : 'gateway.clock_fast',
          subject: `gateway/${gatewayId}`,
          data: { offsetMs, slackMs: intakeBounds.clockSlackMs },
          occurredAtMs: receivedAtMs,
        });
      },
      batcher,
    );
  }
  if (right) {
    if (knownRight.size >= knownRightMax) knownRight.clear();
    knownRight.add(key);
  } else knownRight.delete(key);
}
