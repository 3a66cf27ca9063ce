import { dimensionOf, grainsPerUnit } from '../domain/usage/meter.ts';
import { type SwitchSuspect, suspectText } from '../domain/usage/switch-suspect.ts';
import {
  countGrains,
  judgeSwitch,
  type WatchedDay,
  witnessesOf,
} from '../domain/usage/switch-watch.ts';
import type { GatewayStanding } from '../store/gateway-health.ts';
import { type MeterOnUnit, metersOnUnit } from '../store/switch-watch.ts';
import type { Work } from './work.ts';

/** A year, so that what a truck does only now and then is known of it. */
const daysLooked = 365;

/** The days on which both meters were counted, oldest first; days without use are left out. */
function pairDays(watched: MeterOnUnit, witness: MeterOnUnit): WatchedDay[] {
  const counts = countGrains[dimensionOf(watched.meter)];
  const units = grainsPerUnit[dimensionOf(witness.meter)];
  const afterDay = watched.afterDay > witness.afterDay ? watched.afterDay : witness.afterDay;
  const counted = new Map(watched.days);
  const seen = new Map(witness.days);
  const days = [...new Set([...counted.keys(), ...seen.keys()])];
  return days
    .filter((day) => day > afterDay)
    .sort()
    .map((day) => ({
      day,
      counted: (counted.get(day) ?? 0) / counts,
      witness: (seen.get(day) ?? 0) / units,
    }));
}

/** The first witness, from the closest on, by which a meter should have counted and did not. */
function suspectOf(watched: MeterOnUnit, meters: readonly MeterOnUnit[]): SwitchSuspect | null {
  for (const name of witnessesOf[watched.meter] ?? []) {
    for (const witness of meters.filter((each) => each.meter === name)) {
      const found = judgeSwitch(pairDays(watched, witness), watched.meter, name);
      if (!found.isSuspect) continue;
      return {
        assetId: watched.assetId,
        meter: watched.meter,
        counter: watched.counter as string,
        witness: name,
        lastCountedOn: found.lastCountedOn,
        days: found.days,
        witnessUse: Number(found.witnessUse.toFixed(2)),
        expected: Math.floor(found.expected),
      };
    }
  }
  return null;
}

function tell(
  work: Work,
  { gatewayId, unit }: GatewayStanding,
  what: 'suspect' | 'counts_again' | 'suspect_dropped',
  suspect: SwitchSuspect,
): void {
  const { assetId, meter, counter, witness, lastCountedOn, days, witnessUse, expected } = suspect;
  const evidence = { witness, lastCountedOn, days, witnessUse, expected };
  const reason = suspectText(suspect);
  const onUnit = unit && { unitId: unit.unitId, unit: unit.number };
  work.record({
    type: `gateway.switch_${what}`,
    subject: `gateway/${gatewayId}`,
    data: {
      ...onUnit,
      assetId,
      meter,
      counter,
      ...(what === 'suspect' ? { ...evidence, reason } : {}),
    },
    occurredAtMs: work.nowMs,
  });
}

export interface Watched {
  suspects: SwitchSuspect[];
  /** Something is not folded yet: to be looked at again soon. */
  waits: boolean;
}

/**
 * Looks for counters of a gateway that stand still while their unit works, and tells what changed,
 * once. What was told stands until the meter counts again, or is another gateway's, asset's or
 * unit's.
 */
export async function watchSwitches(
  work: Work,
  standing: GatewayStanding,
  told: readonly SwitchSuspect[],
): Promise<Watched> {
  const { tx, fleetId, nowMs } = work;
  const { gatewayId, unit } = standing;
  const meters = unit
    ? await metersOnUnit(tx, fleetId, unit.unitId, gatewayId, nowMs, daysLooked)
    : [];
  if (meters.some((meter) => meter.waits)) return { suspects: [...told], waits: true };
  const suspects: SwitchSuspect[] = [];
  for (const meter of meters) {
    if (meter.counter === null) continue;
    const was = told.find((s) => s.assetId === meter.assetId && s.meter === meter.meter);
    const counts = meter.days.some(([day]) => day > (was?.lastCountedOn ?? ''));
    if (was && !counts) suspects.push(was);
    else if (was) tell(work, standing, 'counts_again', was);
    else if (!meter.inDoubt) {
      const suspect = suspectOf(meter, meters);
      if (!suspect) continue;
      suspects.push(suspect);
      tell(work, standing, 'suspect', suspect);
    }
  }
  for (const was of told) {
    const there = meters.some(
      (m) => m.counter !== null && m.assetId === was.assetId && m.meter === was.meter,
    );
    if (!there) tell(work, standing, 'suspect_dropped', was);
  }
  return { suspects, waits: false };
}
