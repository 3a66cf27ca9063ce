/** A counter that stands still while its unit works, as it is kept and told. */
import { builtInMeter, type Dimension } from './meter.ts';

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

const units: Record<Dimension, string> = { hours: 'h', cycles: 'cycles', km: 'km' };

/** What is suspect about it, in one sentence. */
export function suspectText(suspect: SwitchSuspect): string {
  const { counter, witness, lastCountedOn, days, witnessUse, expected } = suspect;
  const unit = units[builtInMeter(witness)?.dimension ?? 'cycles'];
  const use = `${Number(witnessUse.toFixed(1))} ${unit}`;
  const since =
    lastCountedOn === null ? 'has never counted' : `has not counted since ${lastCountedOn}`;
  return (
    `${counter} ${since}, although ${witness} went on by ${use} on ${days} days, ` +
    `where ${expected} counts were to be expected: look at its switch and wiring.`
  );
}
