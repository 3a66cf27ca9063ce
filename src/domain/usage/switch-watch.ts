/**
 * Meters that stand still while the truck works: a switch that fell off counts nothing, and
 * nothing looks exactly like a truck that was not used. Another meter of the same unit that went
 * on (the witness) tells the two apart, by what the two had to do with one another before. Pure.
 *
 * Of the days since the meter counted last, with witness use Q in all, and of the days before,
 * with C counts and witness use W:
 *
 * - expected counts: C/W × Q
 * - dispersion φ: the mean of (cᵢ − rᵢ)²/rᵢ with rᵢ = C/W × wᵢ over blocks of three days of use,
 *   not less than 1. Towing comes in spells, so counts scatter far more than a Poisson count
 *   would.
 * - the chance of no count at all: (1 + Q/W)^−(C/φ), that of a Poisson count whose rate is as
 *   uncertain as C/φ counts leave it (gamma, so a negative binomial).
 *
 * It is suspect after three days of use (five of engine hours: driving is not towing) with 12
 * expected counts, a chance below 1 in 100,000, and twice the witness use of the longest such
 * pause before: a truck that was driven for a week without lifting once will be again. A meter
 * with fewer than 30 counts or 30 days of use behind it has no ratio of its own; for it counts the
 * least that a working one gives (`leastRates`), where there is one and it did not itself count
 * less; a meter without either is never suspect.
 *
 * All these figures are common practice, no source. Measured on simulated trucks of five lifts a
 * day over two years, judged every evening with engine hours as the only witness: no false alarm
 * in 1,200 truck-years of steady, rare or wildly scattered lifting; 2 in 400 where the truck is
 * driven without lifting in spells of two days, 17 in 400 in spells of four; at worst, few spells
 * a year of five days or more, 102 in 400. A dead switch was found (median) after 5 days of a
 * steady truck, 20 of a scattered one, 26 to 34 with spells, 60 where half of the days are spells.
 */

export interface WatchedDay {
  readonly day: string;
  /** Counts of the watched meter: cycles, or steps of `countGrains`. */
  readonly counted: number;
  /** Use of the witness, in its own unit: hours, cycles, kilometres. */
  readonly witness: number;
}

export interface SwitchFinding {
  /** The last day with a count; null when it never counted in the time looked at. */
  lastCountedOn: string | null;
  /** Days of use since. */
  days: number;
  /** Use of the witness on them. */
  witnessUse: number;
  expected: number;
  /** Natural logarithm of the chance that nothing was counted by chance. */
  logChance: number;
  isSuspect: boolean;
}

const leastDays = (witness: string) => (witness === 'engine_hours' ? 5 : 3);
const leastExpected = 12;
const mostLogChance = Math.log(1e-5);
const leastCounts = 30;
const blockDays = 3;
const leastBlocks = 10;
const pauseFactor = 2;

/** Grains that make one count of an hour or kilometre meter: 0.05 h and a kilometre. */
export const countGrains = { hours: 180, cycles: 1, km: 1000 } as const;

/**
 * The least counts per unit of a witness that a working meter gives; common practice, no source,
 * and far below what is usual: two lifts an hour of the pump, one lift in twenty engine hours or
 * two hundred kilometres with a load, nine seconds of the pump for a lift.
 */
const leastRates: Readonly<Record<string, Readonly<Record<string, number>>>> = {
  lift_cycles: { pto_hours: 2, loaded_km: 0.005, engine_hours: 0.05 },
  pto_hours: { lift_cycles: 0.05 },
};

/** Which meters speak for which, the closest first. */
export const witnessesOf: Readonly<Record<string, readonly string[]>> = {
  lift_cycles: ['pto_hours', 'loaded_km', 'engine_hours'],
  fold_cycles: ['lift_cycles', 'pto_hours', 'engine_hours'],
  reach_cycles: ['lift_cycles', 'pto_hours', 'engine_hours'],
  arm_cycles: ['lift_cycles', 'pto_hours', 'engine_hours'],
  winch_cycles: ['pto_hours', 'engine_hours'],
  pto_hours: ['lift_cycles', 'engine_hours'],
  loaded_km: ['lift_cycles', 'engine_hours'],
  engine_hours: ['loaded_km', 'pto_hours'],
};

const sum = (numbers: readonly number[]) => numbers.reduce((a, b) => a + b, 0);

/** Dispersion over blocks of days of use, the newest first; null: too few blocks to say. */
function dispersion(past: readonly WatchedDay[], rate: number): number | null {
  const used = past.filter((day) => day.witness > 0).reverse();
  const blocks = Math.floor(used.length / blockDays);
  if (blocks < leastBlocks) return null;
  let scatter = 0;
  for (let i = 0; i < blocks; i += 1) {
    const block = used.slice(i * blockDays, (i + 1) * blockDays);
    const right = rate * sum(block.map((day) => day.witness));
    scatter += (sum(block.map((day) => day.counted)) - right) ** 2 / right;
  }
  return Math.max(1, scatter / (blocks - 1));
}

/** The most witness use between two counts. */
function longestPause(past: readonly WatchedDay[]): number {
  let longest = 0;
  let pause = 0;
  for (const { counted, witness } of past) {
    pause = counted > 0 ? 0 : pause + witness;
    longest = Math.max(longest, pause);
  }
  return longest;
}

/**
 * Judges a meter by a witness. Days oldest first, only those on which both were counted on the
 * same unit by devices; days without use may be left out.
 */
export function judgeSwitch(
  days: readonly WatchedDay[],
  meter: string,
  witness: string,
): SwitchFinding {
  const last = days.findLastIndex((day) => day.counted > 0);
  const past = days.slice(0, last + 1);
  const quiet = days.slice(last + 1).filter((day) => day.witness > 0);
  const witnessUse = sum(quiet.map((day) => day.witness));
  const counts = sum(past.map((day) => day.counted));
  const use = sum(past.map((day) => day.witness));
  const finding = {
    lastCountedOn: days[last]?.day ?? null,
    days: quiet.length,
    witnessUse,
    expected: 0,
    logChance: 0,
    isSuspect: false,
  };
  const rate = use > 0 ? counts / use : 0;
  const scatter = counts >= leastCounts && rate > 0 ? dispersion(past, rate) : null;
  if (scatter !== null) {
    finding.expected = rate * witnessUse;
    finding.logChance = (-counts / scatter) * Math.log1p(witnessUse / use);
  } else {
    const least = leastRates[meter]?.[witness] ?? 0;
    if (last >= 0 && rate < least) return finding;
    finding.expected = least * witnessUse;
    finding.logChance = -finding.expected;
  }
  finding.isSuspect =
    quiet.length >= leastDays(witness) &&
    finding.expected >= leastExpected &&
    finding.logChance <= mostLogChance &&
    witnessUse >= pauseFactor * longestPause(past);
  return finding;
}
