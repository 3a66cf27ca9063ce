/**
 * Which line counts for an asset's meters, from-to. A counter of a gateway counts for the asset of
 * its meter's kind that sits on the same unit. Where two could, the one that counts goes on,
 * otherwise the one declared first begins; the others only cross-check. Pure.
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

export interface LinkedSource extends Period {
  meter: string;
  lineId: number;
}

interface Candidate {
  fromMs: number;
  toMs: number;
  lineId: number;
  counterId: number;
}

function candidatesFor(
  meter: string,
  asset: readonly OnUnit[],
  gateways: readonly GatewayOnUnit[],
  counters: readonly CountingCounter[],
): Candidate[] {
  const found: Candidate[] = [];
  for (const place of asset) {
    for (const gateway of gateways) {
      if (gateway.unitId !== place.unitId) continue;
      const fromMs = Math.max(place.fromMs, gateway.fromMs);
      const toMs = Math.min(place.toMs ?? Infinity, gateway.toMs ?? Infinity);
      if (fromMs >= toMs) continue;
      for (const { gatewayId, meter: counted, lineId, counterId } of counters) {
        if (gatewayId === gateway.gatewayId && counted === meter) {
          found.push({ fromMs, toMs, lineId, counterId });
        }
      }
    }
  }
  return found;
}

function sourcesFrom(meter: string, candidates: readonly Candidate[]): LinkedSource[] {
  const edges = [...new Set(candidates.flatMap((c) => [c.fromMs, c.toMs]))].sort((a, b) => a - b);
  const sources: LinkedSource[] = [];
  for (const [i, fromMs] of edges.entries()) {
    const toMs = edges[i + 1];
    if (toMs === undefined) break;
    const here = candidates.filter((c) => c.fromMs <= fromMs && c.toMs >= toMs);
    if (here.length === 0) continue;
    const before = sources.at(-1);
    const goesOn = before && before.toMs === fromMs ? before.lineId : null;
    const next =
      here.find((c) => c.lineId === goesOn) ??
      here.reduce((first, c) => (c.counterId < first.counterId ? c : first));
    const end = toMs === Infinity ? null : toMs;
    if (before && goesOn === next.lineId) before.toMs = end;
    else sources.push({ meter, lineId: next.lineId, fromMs, toMs: end });
  }
  return sources;
}

/** The sources of one asset for the given meters, by meter and time, disjoint within a meter. */
export function linkSources(
  meters: readonly string[],
  asset: readonly OnUnit[],
  gateways: readonly GatewayOnUnit[],
  counters: readonly CountingCounter[],
): LinkedSource[] {
  return meters.flatMap((meter) =>
    sourcesFrom(meter, candidatesFor(meter, asset, gateways, counters)),
  );
}
