import { decide, type FiredRule, losesMoreThan, practice, type Removal } from './removal.ts';

export const ROPE_KINDS = ['running', 'rotation_resistant', 'standing'] as const;
export type RopeKind = (typeof ROPE_KINDS)[number];

/** What is seen on a wire rope, besides broken wires. */
export const ROPE_DAMAGES = [
  'kink',
  'crushed',
  'unstranded',
  'birdcage',
  'core_failure',
  'corrosion',
  'heat',
  'bad_end',
  'core_protrusion',
  'power_line_contact',
  'broken_strand',
] as const;
export type RopeDamage = (typeof ROPE_DAMAGES)[number];

export interface RopeLook {
  kind: RopeKind;
  /** Ten-thousandths of one unit, both diameters. Measured: the smallest of three places. */
  nominal: number;
  measured: number | null;
  /** Broken wires: in one lay, in one strand of one lay; null: not counted. */
  inLay: number | null;
  inStrand: number | null;
  /** Of a rotation-resistant rope: in six and in thirty diameters. */
  inSixDiameters: number | null;
  inThirtyDiameters: number | null;
  /** Of a standing rope: at an end connection. */
  atEnd: number | null;
  damages: readonly RopeDamage[];
  /** All of it is near the end and could be cut off. */
  local: boolean;
  /** Wraps that stay on the drum at its lowest after a cut-off; null: not counted. */
  wrapsLeft: number | null;
}

const wires = '29 CFR 1926.1413(a)(2)(ii)';
const sight = '29 CFR 1926.1413(a)(2)(i)';
const worst = '29 CFR 1926.1413(a)(2)(iii)';
/** 29 CFR 1926.1413(a)(4), as a secondary page gives it. */
const wrapsLeast = 2;
const diameterPercent = 5;
/** Four fifths of it; common practice, no source. */
const diameterWatchPercent = 4;

/** By kind: how many broken wires end the rope, and what they are counted in. */
const counts: Readonly<
  Record<RopeKind, readonly (readonly [of: keyof RopeLook, ends: number, words: string])[]>
> = {
  running: [
    ['inLay', 6, 'broken wires in one lay'],
    ['inStrand', 3, 'broken wires in one strand of one lay'],
  ],
  rotation_resistant: [
    ['inSixDiameters', 2, 'broken wires in six diameters'],
    ['inThirtyDiameters', 4, 'broken wires in thirty diameters'],
  ],
  standing: [
    ['inLay', 3, 'broken wires in one lay away from the ends'],
    ['atEnd', 2, 'broken wires at an end'],
  ],
};

function wireRules(look: RopeLook): FiredRule[] {
  return counts[look.kind].flatMap(([of, ends, words]): FiredRule[] => {
    const count = look[of] as number | null;
    const rule = `wires_${of.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`)}`;
    if (count === null) {
      const said = `The ${words} were not counted.`;
      return [{ rule, decision: 'competent_person', benchmark: wires, words: said }];
    }
    const said = `${count} ${words}; ${ends} or more end it.`;
    if (count >= ends) return [{ rule, decision: 'remove', benchmark: wires, words: said }];
    if (count < ends - 1) return [];
    return [{ rule, decision: 'keep_watch', benchmark: wires, words: said }];
  });
}

function diameterRules({ nominal, measured }: RopeLook): FiredRule[] {
  const rule = 'diameter';
  if (measured === null) {
    const words = 'The diameter was not measured.';
    return [{ rule, decision: 'competent_person', benchmark: wires, words }];
  }
  if (losesMoreThan(nominal, measured, diameterPercent)) {
    const words = 'The diameter is more than 5 % below nominal.';
    return [{ rule, decision: 'remove', benchmark: wires, words }];
  }
  if (!losesMoreThan(nominal, measured, diameterWatchPercent)) return [];
  const words = 'The diameter is more than 4 % below nominal; more than 5 % ends it.';
  return [{ rule, decision: 'keep_watch', benchmark: practice, words }];
}

function damageRule(damage: RopeDamage, kind: RopeKind): FiredRule {
  const words = `Seen: ${damage.replaceAll('_', ' ')}.`;
  const ends =
    damage === 'broken_strand' ||
    damage === 'power_line_contact' ||
    (damage === 'core_protrusion' && kind === 'rotation_resistant');
  return ends
    ? { rule: damage, decision: 'remove', benchmark: worst, words: `${words} It ends the rope.` }
    : {
        rule: damage,
        decision: 'competent_person',
        benchmark: sight,
        words: `${words} A competent person must judge it before the rope is used.`,
      };
}

/** What ends the whole rope, wherever it is. */
const wholeRope: readonly string[] = ['broken_strand', 'power_line_contact'];

/**
 * A wire rope against published benchmarks. Counts that the kind of rope is judged by and that
 * nobody took leave the decision to a competent person: a rope that was not looked at is not sound.
 */
export function judgeRope(look: RopeLook): Removal {
  const fired = [
    ...look.damages.map((damage) => damageRule(damage, look.kind)),
    ...wireRules(look),
    ...diameterRules(look),
  ];
  const curable =
    look.local &&
    look.wrapsLeft !== null &&
    look.wrapsLeft >= wrapsLeast &&
    !fired.some((each) => wholeRope.includes(each.rule));
  return decide(fired, curable);
}
