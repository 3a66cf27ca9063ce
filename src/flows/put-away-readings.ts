import { instantText } from '../domain/instant.ts';
import {
  keptFromMs,
  missingMonths,
  nextMonthMs,
  putAwayFromMs,
} from '../domain/usage/reading-month.ts';
import { linesOfFleet } from '../store/counter.ts';
import { withFleet } from '../store/pool.ts';
import { cutLine, detachMonth, readingMonths } from '../store/put-away.ts';
import { standingOrders } from '../store/record.ts';
import { allFleets } from '../store/sweep.ts';
import { aheadMs } from './sweep.ts';
import type { FlowDeps } from './work.ts';

const dayMs = 86_400_000;
/** So long a month may wait for its lines before somebody is told. */
const patienceMs = 7 * dayMs;

const shown = (monthMs: number): string => instantText(monthMs).slice(0, 7);

export interface PutAway {
  /** Months that were detached now, as first instants. */
  months: number[];
  /** The first month that cannot be yet, and why; none follows it. */
  waiting: { monthMs: number; why: string } | null;
}

/** Why a month cannot be put away yet, or null when every line with readings there has a cut. */
async function cutAll(
  deps: FlowDeps,
  toMs: number,
  signal: AbortSignal | undefined,
): Promise<string | null> {
  const { scheduler, app } = deps.pools;
  let first: string | null = null;
  let waiting = 0;
  for (const fleetId of await allFleets(scheduler)) {
    for (const lineId of await withFleet(app, [fleetId], (tx) => linesOfFleet(tx, fleetId))) {
      if (signal?.aborted) return 'the process is stopping';
      const why = await cutLine(scheduler, fleetId, lineId, toMs);
      if (why === null) continue;
      waiting += 1;
      first ??= `line ${lineId} of fleet ${fleetId}: ${why}`;
    }
  }
  return first === null ? null : `${waiting} lines cannot be cut yet; ${first}`;
}

/** Months hold the readings of all fleets: an order of one keeps all of them where they are. */
async function somethingIsPreserved(deps: FlowDeps): Promise<boolean> {
  const { scheduler, app } = deps.pools;
  for (const fleetId of await allFleets(scheduler)) {
    if ((await withFleet(app, [fleetId], (tx) => standingOrders(tx, fleetId))) > 0) return true;
  }
  return false;
}

/**
 * Puts away the months of readings that are older than what is kept, oldest first: cuts every line
 * that has readings there, then detaches the month. Nothing is put away while an order to preserve
 * records stands. May be stopped and run again at any time.
 */
export async function putAwayReadings(
  deps: FlowDeps,
  keepMonths: number,
  signal?: AbortSignal,
): Promise<PutAway> {
  const { scheduler } = deps.pools;
  const nowMs = deps.clock.nowMs();
  const untilMs = keptFromMs(nowMs, keepMonths);
  const months: number[] = [];
  if (await somethingIsPreserved(deps)) return { months, waiting: null };
  for (const monthMs of await readingMonths(scheduler)) {
    if (nextMonthMs(monthMs) > untilMs) break;
    const why =
      (await cutAll(deps, nextMonthMs(monthMs), signal)) ??
      (await detachMonth(scheduler, monthMs, nowMs));
    if (why !== null) return { months, waiting: { monthMs, why } };
    months.push(monthMs);
  }
  return { months, waiting: null };
}

/**
 * What the nightly look after months of readings does: makes sure that those ahead are there, and
 * puts away what is no longer kept.
 *
 * @throws Error when a month to come is missing, or one to put away waits for too long: the job
 * fails, which is logged as an error and tried again
 */
export async function keepMonths(deps: FlowDeps, signal?: AbortSignal): Promise<void> {
  const nowMs = deps.clock.nowMs();
  const missing = missingMonths(await readingMonths(deps.pools.scheduler), nowMs, nowMs + aheadMs);
  if (missing.length > 0) {
    throw new Error(`no partition for readings of ${missing.map(shown).join(', ')}`);
  }
  const { readingsKeepMonths = null } = deps;
  if (readingsKeepMonths === null) return;
  const { waiting } = await putAwayReadings(deps, readingsKeepMonths, signal);
  if (waiting === null) return;
  if (nowMs > putAwayFromMs(waiting.monthMs, readingsKeepMonths) + patienceMs) {
    throw new Error(`readings of ${shown(waiting.monthMs)} are not put away: ${waiting.why}`);
  }
}
