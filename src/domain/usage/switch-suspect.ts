/** A counter that stands still while its unit works, as it is kept and told. */
import { type Dimension, dimensionOf, grainsPerUnit } from './meter.ts';
import { countGrains } from './switch-watch.ts';

export interface SwitchSuspect {
  assetId: string;
  meter: string;
  counter: string;
  /** The meter that went on. */
  witness: string;
  /** Null: never in the time looked at. */
  lastCountedOn: string | null;
  /** Days of use since then, and the use of the witness on them in its own unit. */
  days: number;
  witnessUse: number;
  /** Counts that would have been usual: cycles, steps of 0.05 h, or kilometres. */
  expected: number;
}

const shown: Record<Dimension, (counts: number) => string> = {
  hours: (counts) => `${Number((counts / countsPerHour).toFixed(1))} h`,
  cycles: (counts) => `${counts} cycles`,
  km: (counts) => `${counts} km`,
};
const countsPerHour = grainsPerUnit.hours / countGrains.hours;
const tenths = (use: number) => Number(use.toFixed(1));

/** What is suspect about it, in one sentence. */
export function suspectText(suspect: SwitchSuspect): string {
  const { meter, counter, witness, lastCountedOn, days, witnessUse, expected } = suspect;
  const of = dimensionOf(witness);
  const use = of === 'hours' ? `${tenths(witnessUse)} h` : shown[of](tenths(witnessUse));
  const since =
    lastCountedOn === null ? 'has never counted' : `has not counted since ${lastCountedOn}`;
  return (
    `${counter} ${since}, although ${witness} went on by ${use} on ${days} days, where about ` +
    `${shown[dimensionOf(meter)](expected)} were to be expected: look at its switch and wiring.`
  );
}
