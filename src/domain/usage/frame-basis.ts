/**
 * Counters whose readings the server itself takes from J1939 frames say so in their basis:
 *
 * - `j1939_248`, `j1939_247`, `j1939_246`: the value of that parameter, as the vehicle keeps it;
 * - `derived_j1939_3948`: the time for which SPN 3948 said that a PTO was engaged.
 *
 * `_sa21` after it names the source address in hex; without, the first address that is heard is
 * kept to. Bases are never mixed: each is a line of its own. Pure.
 */
import { parameterOf } from './j1939-parameter.ts';

export interface FrameBasis {
  readonly spn: number;
  /** Null: the first that is heard. */
  readonly source: number | null;
  /** `total`: the vehicle's own hour counter; `engagement`: states, integrated here. */
  readonly kind: 'total' | 'engagement';
}

/** Ticks of the hour counters of J1939: 0.05 h, in seconds. */
const totalGrains = 180;

const pattern = /^(?:j1939_(246|247|248)|derived_j1939_(3948))(?:_sa([0-9a-f]{2}))?$/;
const prefix = /^(derived_)?j1939_/;

/** What each parameter may count as. */
const meterOf: Readonly<Record<number, string>> = {
  // Vehicle hours run while the engine does not, so upkeep by them comes rather early than late.
  246: 'engine_hours',
  247: 'engine_hours',
  248: 'pto_hours',
  3948: 'pto_hours',
};

/** Null when the counter does not count from frames. */
export function parseFrameBasis(basis: string): FrameBasis | null {
  const match = pattern.exec(basis);
  if (match === null) return null;
  const spn = Number(match[1] ?? match[2]);
  return {
    spn,
    source: match[3] === undefined ? null : Number.parseInt(match[3], 16),
    kind: match[1] === undefined ? 'engagement' : 'total',
  };
}

/** Why a counter cannot have this basis, in words; null when it can. */
export function frameBasisFault(counter: {
  basis: string;
  meter: string;
  resolutionGrains: number;
  widthBits: number;
  scope: string;
}): string | null {
  if (!prefix.test(counter.basis)) return null;
  const found = parseFrameBasis(counter.basis);
  if (found === null) {
    return 'j1939_246, j1939_247, j1939_248, derived_j1939_3948 are known, each with _sa.. or not';
  }
  const meter = meterOf[found.spn];
  if (counter.meter !== meter) {
    return `SPN ${found.spn} (${parameterOf(found.spn)?.name}) counts as ${meter}`;
  }
  if (counter.widthBits < 32) return 'a counter from frames has at least 32 bits';
  if (found.kind === 'total') {
    return counter.resolutionGrains === totalGrains ? null : 'its resolution is 0.05 h';
  }
  return counter.scope === 'gateway' ? null : 'what is derived here has the scope gateway';
}
