/**
 * A small seeded generator: the same label gives the same numbers on every machine. For an invented
 * history only; nothing secret may come from it.
 */
export interface Random {
  /** From 0 up to but not including 1. */
  next(): number;
  /** A whole number from `low` to `high`, both inside. */
  int(low: number, high: number): number;
  chance(probability: number): boolean;
  pick<T>(list: readonly T[]): T;
  /** The list in another order; the one given is not changed. */
  shuffle<T>(list: readonly T[]): T[];
}

/** Spreads the bits of a 32-bit number, so that neighbours have nothing in common. */
function spread(value: number): number {
  let x = value;
  x = Math.imul(x ^ (x >>> 15), 0x2c1b3c6d);
  x = Math.imul(x ^ (x >>> 12), 0x297a2d39);
  return (x ^ (x >>> 15)) >>> 0;
}

export function createRandom(label: string): Random {
  let state = 0x1234_5678;
  for (const character of label) state = spread(state + (character.codePointAt(0) ?? 0));
  const next = () => {
    state = (state + 0x9e37_79b9) >>> 0;
    return spread(state) / 2 ** 32;
  };
  const int = (low: number, high: number) => low + Math.floor(next() * (high - low + 1));
  const pick = <T>(list: readonly T[]): T => {
    if (list.length === 0) throw new RangeError('nothing to pick from');
    return list[int(0, list.length - 1)] as T;
  };
  return {
    next,
    int,
    chance: (probability) => next() < probability,
    pick,
    shuffle: (list) => {
      const left = [...list];
      const shuffled: typeof left = [];
      while (left.length > 0) shuffled.push(...left.splice(int(0, left.length - 1), 1));
      return shuffled;
    },
  };
}
