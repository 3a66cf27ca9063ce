import { Problem } from '../errors.ts';
import { sitsWithController } from '../store/controller.ts';
import { lastAnnounced } from '../store/event.ts';
import { type FlowDeps, type Work, withWork } from './work.ts';

const dayMs = 86_400_000;
/** A gateway that left the unit so long ago, or will come to it so soon, still belongs to it. */
const beforeMs = 30 * dayMs;
const aheadMs = 7 * dayMs;

const refusedType = 'counter.join_refused';

/**
 * A gateway's own word is not enough to count for a controller that counts elsewhere: a wrong name
 * would put two machines' values on one line. It must sit where that controller counts.
 *
 * @throws Problem controller_elsewhere
 */
export async function checkJoin(work: Work, gatewayId: string, controller: string): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  const span = { fromMs: nowMs - beforeMs, toMs: nowMs + aheadMs };
  if (await sitsWithController(tx, fleetId, gatewayId, controller, span)) return;
  throw new Problem(
    'controller_elsewhere',
    `Controller "${controller}" is known and this gateway is not on its unit. Install the ` +
      'gateway there first and declare again, or let who keeps the fleet declare it.',
  );
}

/** Tells that a gateway was refused, at most once a day: it will try again and again. */
export async function noteJoinRefused(
  deps: FlowDeps,
  fleetId: number,
  gatewayId: string,
  controllers: readonly string[],
): Promise<void> {
  const subject = `gateway/${gatewayId}`;
  await withWork(deps, fleetId, async (work) => {
    const { tx, nowMs } = work;
    const [told] = await lastAnnounced(tx, fleetId, [subject], refusedType);
    if (told && told.recordedAtMs > nowMs - dayMs) return;
    const data = { controllers: [...new Set(controllers)] };
    work.record({ type: refusedType, subject, data, occurredAtMs: nowMs });
  });
}
