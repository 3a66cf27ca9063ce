import { decide, type FiredRule, losesMoreThan, type Removal } from './removal.ts';

export const CHAIN_DAMAGES = ['cracked', 'bent', 'twisted', 'gouged', 'heat', 'no_tag'] as const;
export type ChainDamage = (typeof CHAIN_DAMAGES)[number];

export interface ChainLook {
  /** 64ths of an inch: 24 is 3/8. */
  size64: number;
  /** Ten-thousandths of an inch at the thinnest point of any link. */
  thinnest: number | null;
  /** A run of links when new and now, ten-thousandths of one unit; null: not measured. */
  lengthNew: number | null;
  lengthNow: number | null;
  damages: readonly ChainDamage[];
}

const table = '29 CFR 1910.184(e), table N-184-1';
const damage = '29 CFR 1910.184(e)';

/**
 * The least size at any point of a link, by nominal size, both in 64ths of an inch. Looked up, not
 * computed: the loss that is allowed is no constant share. Of 1-3/4 in from memory.
 */
const least64: ReadonlyMap<number, number> = new Map([
  [16, 13],
  [24, 19],
  [32, 25],
  [40, 31],
  [48, 38],
  [56, 45],
  [64, 52],
  [72, 58],
  [80, 64],
  [88, 70],
  [96, 76],
  [112, 90],
]);

function sizeRules({ size64, thinnest }: ChainLook): FiredRule[] {
  const rule = 'link_size';
  const least = least64.get(size64);
  const ask = (words: string): FiredRule[] => [
    { rule, decision: 'competent_person', benchmark: table, words },
  ];
  if (least === undefined) return ask('The table has no value for this size: ask its maker.');
  if (thinnest === null) return ask('The thinnest point was not measured.');
  if (thinnest * 64 >= least * 10_000) return [];
  const words = `The thinnest point is below ${least}/64 in.`;
  return [{ rule, decision: 'remove', benchmark: table, words }];
}

function stretchRules({ lengthNew, lengthNow }: ChainLook): FiredRule[] {
  if (lengthNew === null || lengthNow === null) return [];
  if (!losesMoreThan(lengthNew, 2 * lengthNew - lengthNow, 3)) return [];
  const benchmark = 'a public laboratory safety page: discard above 3 %';
  const words = 'It is more than 3 % longer than new.';
  return [{ rule: 'stretch', decision: 'remove', benchmark, words }];
}

/** An alloy chain against published benchmarks. */
export function judgeChain(look: ChainLook): Removal {
  const seen = look.damages.map((each): FiredRule => {
    const words = `Seen: ${each.replaceAll('_', ' ')}.`;
    return { rule: each, decision: 'remove', benchmark: damage, words };
  });
  return decide([...seen, ...sizeRules(look), ...stretchRules(look)]);
}
