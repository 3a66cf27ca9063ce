import { type ContactNow, contactNow } from '../domain/usage/gateway-contact.ts';
import { allowedSilenceMs } from '../domain/usage/gateway-habit.ts';
import { type GatewayReason, gatewayReasonText } from '../domain/usage/gateway-reason.ts';
import {
  contiguous,
  countNumbers,
  highest,
  missing,
  type NumberRange,
} from '../domain/usage/number-set.ts';
import { ptoBeyondEngine } from '../domain/usage/pto-within-engine.ts';
import { intakeBounds } from '../domain/usage/reading-intake.ts';
import type { GatewayState } from '../store/gateway.ts';
import * as store from '../store/gateway-health.ts';
import { metersOnUnit } from '../store/switch-watch.ts';
import type { Tx } from '../store/tx.ts';
import { absent } from './must-find.ts';

const epochsShown = 10;
const rangesShown = 20;
/** No open set of numbers has more gaps than this. */
const gapsMost = 10_000;
/** A backlog is worth a word when it is older than this. */
const backlogPatienceMs = 300_000;
/** PTO and engine hours are compared over so many days. */
const daysCompared = 30;

export interface EpochHealth {
  epoch: number;
  cause: string;
  openedAtMs: number;
  contiguous: number | null;
  highest: number | null;
  missing: NumberRange[];
  missingNumbers: number;
  lost: NumberRange[];
  lostNumbers: number;
  conflicts: number;
  refused: number;
}

export interface GatewayHealth {
  standing: store.GatewayStanding;
  contact: ContactNow;
  allowedSilenceMs: number;
  counters: (store.CounterHealth & { shownEpochs: EpochHealth[] })[];
  states: GatewayState[];
  reasons: { code: GatewayReason['code']; text: string }[];
}

const sum = (numbers: readonly number[]) => numbers.reduce((a, b) => a + b, 0);
const counted = (numbers: readonly number[]) => Math.min(store.countedMax, sum(numbers));

function showEpoch(stream: store.StreamHealth): EpochHealth {
  const gaps = missing(stream.seen, gapsMost);
  return {
    epoch: stream.epoch,
    cause: stream.cause,
    openedAtMs: stream.openedAtMs,
    contiguous: contiguous(stream.seen),
    highest: highest(stream.seen),
    missing: gaps.slice(0, rangesShown),
    missingNumbers: countNumbers(gaps),
    lost: stream.lost.slice(0, rangesShown),
    lostNumbers: countNumbers(stream.lost),
    conflicts: stream.conflicts,
    refused: stream.refused,
  };
}

/** What is wrong with one counter. */
function counterReasons(
  counter: store.CounterHealth,
  streams: readonly store.StreamHealth[],
): GatewayReason[] {
  const name = counter.counter;
  const reasons: GatewayReason[] = [];
  // Of epochs that are over, nothing will be sent any more.
  const gaps = missing(streams.at(-1)?.seen ?? [], gapsMost);
  if (gaps.length > 0) {
    const [from, to] = [gaps[0]![0], gaps.at(-1)![1]];
    const numbers = countNumbers(gaps);
    reasons.push({ code: 'numbers_missing', counter: name, numbers, from, to });
  }
  const conflicts = counted(streams.map((stream) => stream.conflicts));
  if (conflicts > 0) reasons.push({ code: 'conflict', counter: name, count: conflicts });
  const { setAside } = counter;
  if (setAside > 0) reasons.push({ code: 'set_aside', counter: name, count: setAside });
  const atMs = Math.max(0, ...streams.map((stream) => stream.lastRefusedAtMs ?? 0));
  // A sound reading since then shows what the refused ones could have hidden.
  if (atMs > (counter.lastReadingAtMs ?? 0)) {
    const count = counted(streams.map((stream) => stream.refused));
    reasons.push({ code: 'refused', counter: name, count, atMs });
  }
  return reasons;
}

function reasonsOf(
  standing: store.GatewayStanding,
  contact: ContactNow,
  counters: readonly store.CounterHealth[],
  nowMs: number,
): GatewayReason[] {
  const { lastPostAtMs, habitMs, clockFacts, deviceOffsetMs } = standing;
  const reasons: GatewayReason[] = [];
  if (contact.state === 'silent') {
    reasons.push({ code: 'silent', contact, lastPostAtMs, habitMs });
  }
  const fastMs = clockFacts[0]?.offsetMs ?? 0;
  if (fastMs > 0) reasons.push({ code: 'clock_fast', offsetMs: fastMs });
  else if (deviceOffsetMs !== null && deviceOffsetMs < -intakeBounds.clockSlackMs) {
    reasons.push({ code: 'clock_behind', offsetMs: deviceOffsetMs });
  }
  for (const suspect of standing.suspects) reasons.push({ code: 'switch_suspect', suspect });
  if (standing.unit === null) reasons.push({ code: 'no_unit' });
  if (counters.length === 0) reasons.push({ code: 'no_counters' });
  const sinceMs = Math.min(...counters.map((each) => each.waitingSinceMs ?? nowMs));
  if (nowMs - sinceMs > backlogPatienceMs) reasons.push({ code: 'backlog', sinceMs });
  return reasons;
}

/** PTO counters of the gateway that rose by more than the engine of its unit did. */
async function ptoReasons(
  tx: Tx,
  fleetId: number,
  { gatewayId, unit }: store.GatewayStanding,
  nowMs: number,
): Promise<GatewayReason[]> {
  if (unit === null) return [];
  const meters = await metersOnUnit(tx, fleetId, unit.unitId, gatewayId, nowMs, daysCompared);
  const reasons: GatewayReason[] = [];
  for (const pto of meters.filter((each) => each.meter === 'pto_hours')) {
    for (const engine of meters.filter((each) => each.meter === 'engine_hours')) {
      if (pto.counter === null) continue;
      const afterDay = pto.afterDay > engine.afterDay ? pto.afterDay : engine.afterDay;
      const found = ptoBeyondEngine(pto.days, engine.days, afterDay);
      if (found) reasons.push({ code: 'pto_beyond_engine', counter: pto.counter, found });
    }
  }
  return reasons;
}

/**
 * How a gateway is: when it was heard, against its own habit, its clock, where each of its streams
 * stands, and what waits. What is wrong comes first, in words. @throws Problem not_found
 */
export async function readGatewayHealth(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  nowMs: number,
): Promise<GatewayHealth> {
  const standing = await store.gatewayStanding(tx, fleetId, gatewayId, nowMs);
  if (!standing) throw absent('gateway');
  const counters = await store.countersHealth(tx, fleetId, gatewayId);
  const streams = await store.streamsHealth(tx, fleetId, gatewayId, epochsShown);
  const onUnitSinceMs = standing.unit?.sinceMs ?? null;
  const contact = contactNow({ ...standing, onUnitSinceMs }, nowMs);
  const reasons = reasonsOf(standing, contact, counters, nowMs);
  reasons.push(...(await ptoReasons(tx, fleetId, standing, nowMs)));
  for (const counter of counters) {
    const own = streams.filter((stream) => stream.counter === counter.counter);
    reasons.push(...counterReasons(counter, own));
  }
  const states: GatewayHealth['states'] = [];
  if (contact.state === 'silent' && standing.unit) states.push('silent');
  if (standing.suspects.length > 0) states.push('suspect');
  const waits = reasons.some(({ code }) => code === 'conflict' || code === 'set_aside');
  if (waits) states.push('waiting_decision');
  const zone = standing.unit?.timeZone ?? 'UTC';
  return {
    standing,
    contact,
    allowedSilenceMs: allowedSilenceMs(standing.habitMs),
    counters: counters.map((counter) => ({
      ...counter,
      shownEpochs: streams.filter((each) => each.counter === counter.counter).map(showEpoch),
    })),
    states,
    reasons: reasons.map((reason) => ({
      code: reason.code,
      text: gatewayReasonText(reason, nowMs, zone),
    })),
  };
}
