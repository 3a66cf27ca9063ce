import { decide, type FiredRule, losesMoreThan, type Removal } from './removal.ts';

export const HOOK_DAMAGES = ['cracked', 'bent', 'twisted', 'latch_fails', 'heat'] as const;
export type HookDamage = (typeof HOOK_DAMAGES)[number];

export interface HookLook {
  /** Ten-thousandths of an inch; the baseline is what the throat was when new. */
  throatNew: number | null;
  throatNow: number | null;
  /** The thickness at the saddle, when new and now. */
  saddleNew: number | null;
  saddleNow: number | null;
  damages: readonly HookDamage[];
}

/** The figures of 29 CFR 1910.184(e) are from memory, confirmed by a public file. */
const older = '29 CFR 1910.184(e): 15 % of the throat, 10 degrees';
const stricter = 'ASME B30.10 as EM 385-1-1 gives it: 5 % of the throat, at most 1/4 in';
const quarterInch = 2_500;

const opened = (rule: string, benchmark: string, words: string): FiredRule => ({
  rule,
  decision: 'remove',
  benchmark,
  words,
});

function throatRules({ throatNew, throatNow }: HookLook): FiredRule[] {
  if (throatNew === null || throatNow === null) {
    const words = 'It cannot be judged without the throat when new and now.';
    return [{ rule: 'throat', decision: 'competent_person', benchmark: stricter, words }];
  }
  const wider = (percent: number) => losesMoreThan(throatNew, 2 * throatNew - throatNow, percent);
  const fired: FiredRule[] = [];
  if (wider(5) || throatNow - throatNew > quarterInch) {
    fired.push(
      opened('throat_5_percent', stricter, 'The throat is more than 5 % or 1/4 in wider.'),
    );
  }
  if (wider(15)) {
    fired.push(opened('throat_15_percent', older, 'The throat is more than 15 % wider.'));
  }
  return fired;
}

function wearRules({ saddleNew, saddleNow }: HookLook): FiredRule[] {
  if (saddleNew === null || saddleNow === null) return [];
  if (!losesMoreThan(saddleNew, saddleNow, 10)) return [];
  return [opened('wear_10_percent', stricter, 'More than 10 % of the section is worn away.')];
}

/** A hook against published benchmarks; of two that disagree the stricter decides. */
export function judgeHook(look: HookLook): Removal {
  const seen = look.damages.map((each) =>
    opened(each, stricter, `Seen: ${each.replaceAll('_', ' ')}.`),
  );
  return decide([...seen, ...throatRules(look), ...wearRules(look)]);
}
