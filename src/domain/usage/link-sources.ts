/**
 * Which line counts for an asset's meters, from-to. A counter of a gateway counts for the asset of
 * its meter's kind that sits on the same unit. Of several, one that a person chose comes first,
 * then a device, then readings by hand; within a rank the one that counts goes on, otherwise the
 * one declared first begins. The others only cross-check. Pure.
 */

/** `toMs` null: still. */
export interface Period {
  fromMs: number;
  toMs: number | null;
}

export interface OnUnit extends Period {
  unitId: string;
}

export interface GatewayOnUnit extends OnUnit {
  gatewayId: string;
}

export interface CountingCounter {
  gatewayId: string;
  meter: string;
  lineId: number;
  /** Order of declaration. */
  counterId: number;
}

/** From the best: what counts while something better is there only cross-checks. */
export const sourceRanks = ['device', 'hand'] as const;
export type SourceRank = (typeof sourceRanks)[number];

/** A line that could count for the asset's meter in this time. */
export interface Candidate extends Period {
  meter: string;
  lineId: number;
  rank: SourceRank;
  /** Of one rank the lowest begins. */
  order: number;
}

/** A person's word that a line shall count while it could. */
export interface SourceChoice extends Period {
  choiceId: string;
  meter: string;
  lineId: number;
}

export interface LinkedSource extends Period {
  meter: string;
  lineId: number;
  /** Null: by the rule. */
  choiceId: string | null;
}

/** The time that two periods share; null when there is none. */
export function sharedPeriod(a: Period, b: Period): Period | null {
  const fromMs = Math.max(a.fromMs, b.fromMs);
  const toMs = Math.min(a.toMs ?? Infinity, b.toMs ?? Infinity);
  return fromMs < toMs ? { fromMs, toMs: toMs === Infinity ? null : toMs } : null;
}

/** The counters of gateways while they sit on the unit of the asset. */
export function deviceCandidates(
  meters: readonly string[],
  asset: readonly OnUnit[],
  gateways: readonly GatewayOnUnit[],
  counters: readonly CountingCounter[],
): Candidate[] {
  const found: Candidate[] = [];
  for (const place of asset) {
    for (const gateway of gateways) {
      const together = gateway.unitId === place.unitId ? sharedPeriod(place, gateway) : null;
      if (!together) continue;
      for (const { gatewayId, meter, lineId, counterId } of counters) {
        if (gatewayId !== gateway.gatewayId || !meters.includes(meter)) continue;
        found.push({ ...together, meter, lineId, rank: 'device', order: counterId });
      }
    }
  }
  return found;
}

/** What counts by the rule between two edges, after `goesOn` counted up to there. */
function byRule(here: readonly Candidate[], goesOn: number | null): Candidate | undefined {
  const rank = sourceRanks.find((each) => here.some((c) => c.rank === each));
  const best = here.filter((c) => c.rank === rank);
  return (
    best.find((c) => c.lineId === goesOn) ??
    best.toSorted((a, b) => a.order - b.order || a.lineId - b.lineId)[0]
  );
}

const holds = (period: Period, fromMs: number, toMs: number): boolean =>
  period.fromMs <= fromMs && (period.toMs ?? Infinity) >= toMs;

function sourcesFrom(
  meter: string,
  candidates: readonly Candidate[],
  choices: readonly SourceChoice[],
): LinkedSource[] {
  const edges = [...candidates, ...choices].flatMap((c) => [c.fromMs, c.toMs ?? Infinity]);
  const sorted = [...new Set(edges)].sort((a, b) => a - b);
  const sources: LinkedSource[] = [];
  // By the rule a line goes on as if nobody had chosen meanwhile.
  let goesOn: number | null = null;
  for (const [i, fromMs] of sorted.entries()) {
    const toMs = sorted[i + 1];
    if (toMs === undefined) break;
    const here = candidates.filter((c) => holds(c, fromMs, toMs));
    const rule = byRule(here, goesOn);
    goesOn = rule?.lineId ?? null;
    if (!rule) continue;
    const choice = choices.findLast(
      (c) => holds(c, fromMs, toMs) && here.some((each) => each.lineId === c.lineId),
    );
    const lineId = choice?.lineId ?? rule.lineId;
    const choiceId = choice?.choiceId ?? null;
    const end = toMs === Infinity ? null : toMs;
    const before = sources.at(-1);
    const same = before?.lineId === lineId && before.choiceId === choiceId;
    if (before && same && before.toMs === fromMs) before.toMs = end;
    else sources.push({ meter, lineId, choiceId, fromMs, toMs: end });
  }
  return sources;
}

/**
 * The sources of one asset for the given meters, by meter and time, disjoint within a meter.
 * `choices` are in the order they were made.
 */
export function linkSources(
  meters: readonly string[],
  candidates: readonly Candidate[],
  choices: readonly SourceChoice[],
): LinkedSource[] {
  return meters.flatMap((meter) =>
    sourcesFrom(
      meter,
      candidates.filter((c) => c.meter === meter),
      choices.filter((c) => c.meter === meter),
    ),
  );
}

const covers = (periods: readonly Period[], fromMs: number, toMs: number): boolean =>
  periods.some((period) => holds(period, fromMs, toMs));

/** From when on the one list of periods, each disjoint, covers what the other does not. */
export function firstDifference(a: readonly Period[], b: readonly Period[]): number | null {
  const edges = [...a, ...b].flatMap((p) => [p.fromMs, p.toMs ?? Infinity]);
  const sorted = [...new Set(edges)].sort((x, y) => x - y);
  for (const [i, fromMs] of sorted.entries()) {
    const toMs = sorted[i + 1];
    if (toMs === undefined) return null;
    if (covers(a, fromMs, toMs) !== covers(b, fromMs, toMs)) return fromMs;
  }
  return null;
}
