import { instantText } from '../domain/instant.ts';
import { type ContactNow, contactNow } from '../domain/usage/gateway-contact.ts';
import { gatewayReasonText } from '../domain/usage/gateway-reason.ts';
import type { SwitchSuspect } from '../domain/usage/switch-suspect.ts';
import { type GatewayStanding, gatewayStanding } from '../store/gateway-health.ts';
import {
  gatewaysToWatch,
  nextInstallEdge,
  saveGatewayHealth,
  takeGatewayHealth,
} from '../store/gateway-watch.ts';
import { Faults } from './faults.ts';
import { type Watched, watchSwitches } from './watch-switches.ts';
import { type FlowDeps, type Work, withWork } from './work.ts';

/** A gateway that posts is looked at about once a day, and more often while a switch is suspect. */
const lookEveryMs = 24 * 3_600_000;
const lookAtSuspectsMs = 3_600_000;
/** What is not folded yet is waited for. */
const foldPatienceMs = 600_000;

/** Tells what became of a silence since it was last told, once each. */
function tellSilence(
  work: Work,
  standing: GatewayStanding,
  contact: ContactNow,
  wasSinceMs: number | null,
  sinceMs: number | null,
): void {
  if (wasSinceMs === sinceMs) return;
  const { gatewayId, lastPostAtMs, habitMs, unit } = standing;
  const subject = `gateway/${gatewayId}`;
  const onUnit = unit && { unitId: unit.unitId, unit: unit.number };
  if (wasSinceMs !== null) {
    const silentSince = instantText(wasSinceMs);
    if (lastPostAtMs !== null && lastPostAtMs > wasSinceMs) {
      const data = { ...onUnit, silentSince, lastPostAt: instantText(lastPostAtMs) };
      work.record({ type: 'gateway.heard_again', subject, data, occurredAtMs: lastPostAtMs });
    } else if (sinceMs === null) {
      const reason = 'Nothing is expected of it: it is on no unit any more.';
      const data = { silentSince, reason };
      work.record({ type: 'gateway.silence_dropped', subject, data, occurredAtMs: work.nowMs });
    }
  }
  if (sinceMs === null) return;
  const reason = { code: 'silent', contact, lastPostAtMs, habitMs } as const;
  work.record({
    type: 'gateway.silent',
    subject,
    data: {
      ...onUnit,
      since: instantText(sinceMs),
      longestGapSeconds: habitMs / 1000,
      reason: gatewayReasonText(reason, work.nowMs, unit?.timeZone ?? 'UTC'),
    },
    occurredAtMs: contact.silentFromMs ?? work.nowMs,
  });
}

/**
 * When a gateway is to be looked at next. A silent one: when it is heard, which brings that time
 * forward by itself. One that posts, once a day; one that has not posted since it was last looked
 * at, when its silence would be told.
 */
function nextCheck(
  contact: ContactNow,
  standing: GatewayStanding,
  checkedAtMs: number | null,
  { suspects, waits }: Watched,
  nowMs: number,
): number | null {
  if (waits) return nowMs + foldPatienceMs;
  if (contact.state === 'silent' || contact.silentFromMs === null || !standing.unit) return null;
  const heardSince = (standing.lastPostAtMs ?? 0) > (checkedAtMs ?? 0);
  const soonMs = nowMs + (suspects.length > 0 ? lookAtSuspectsMs : lookEveryMs);
  return heardSince ? Math.min(contact.silentFromMs, soonMs) : contact.silentFromMs;
}

/** Looks at one gateway that is due and tells what changed; false when another worker has it. */
export async function watchGateway(work: Work, gatewayId: string): Promise<boolean> {
  const { tx, fleetId, nowMs } = work;
  const told = await takeGatewayHealth(tx, fleetId, gatewayId, nowMs);
  if (!told) return false;
  const standing = await gatewayStanding(tx, fleetId, gatewayId, nowMs);
  if (!standing) return false;
  const contact = contactNow({ ...standing, onUnitSinceMs: standing.unit?.sinceMs ?? null }, nowMs);
  const silentSinceMs = standing.unit && contact.state === 'silent' ? contact.sinceMs : null;
  tellSilence(work, standing, contact, told.silentSinceMs, silentSinceMs);
  const watched = await watchSwitches(work, standing, told.suspects);
  const checks = [
    nextCheck(contact, standing, told.checkedAtMs, watched, nowMs),
    await nextInstallEdge(tx, fleetId, gatewayId, nowMs),
  ].filter((at) => at !== null);
  await saveGatewayHealth(tx, fleetId, gatewayId, {
    silentSinceMs,
    suspects: watched.suspects,
    checkedAtMs: nowMs,
    checkAtMs: checks.length > 0 ? Math.min(...checks) : null,
  });
  const isSame = (suspect: SwitchSuspect) => told.suspects.includes(suspect);
  const changed =
    told.silentSinceMs !== silentSinceMs ||
    told.suspects.length !== watched.suspects.length ||
    !watched.suspects.every(isSame);
  if (changed) work.changed('gateways');
  return true;
}

const gatewaysAtOnce = 200;

/**
 * Looks at the gateways of a shard whose time has come until none is left; stops early when told
 * to. One that fails stays due and holds up none of the others.
 */
export async function watchGateways(
  deps: FlowDeps,
  shard: number,
  signal?: AbortSignal,
): Promise<number> {
  let watched = 0;
  const faults = new Faults();
  for (;;) {
    const nowMs = deps.clock.nowMs();
    const due = await gatewaysToWatch(deps.pools.scheduler, shard, nowMs, gatewaysAtOnce);
    let progress = 0;
    for (const { fleetId, gatewayId } of due) {
      if (signal?.aborted) return watched;
      const key = `${fleetId}/${gatewayId}`;
      if (faults.has(key)) continue;
      const watch = () => withWork(deps, fleetId, (work) => watchGateway(work, gatewayId));
      if (await faults.pass(key, watch)) progress += 1;
    }
    watched += progress;
    if (progress === 0) break;
  }
  faults.tell();
  return watched;
}
