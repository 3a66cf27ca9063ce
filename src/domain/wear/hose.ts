import { decide, type FiredRule, type Removal } from './removal.ts';

export const HOSE_DAMAGES = [
  'leaks',
  'cover_damaged',
  'kinked_or_crushed',
  'hard_or_cracked',
  'blistered_or_soft',
  'fitting_damaged',
  'fitting_slipped',
] as const;
export type HoseDamage = (typeof HOSE_DAMAGES)[number];

export interface HoseLook {
  damages: readonly HoseDamage[];
  /** Whole months in use, storage with it; null: not known. */
  months: number | null;
}

const list = 'SAE J1273, as secondary pages give it';
const age = 'DIN 20066: six years with storage, as a prompt';
const monthsMost = 72;

/** A hydraulic hose: each thing of the list means a new one at once; age only asks for a look. */
export function judgeHose(look: HoseLook): Removal {
  const fired = look.damages.map((each): FiredRule => {
    const words = `Seen: ${each.replaceAll('_', ' ')}. Never feel for a leak.`;
    return { rule: each, decision: 'remove', benchmark: list, words };
  });
  if (look.months !== null && look.months > monthsMost) {
    const words = `It is ${look.months} months old; plan another.`;
    fired.push({ rule: 'age', decision: 'keep_watch', benchmark: age, words });
  }
  return decide(fired);
}
