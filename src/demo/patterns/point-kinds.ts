import {
  atRest,
  bareHands,
  eyes,
  figureIsExample,
  findEndsIt,
  gloves,
  neverFeel,
  onBlocks,
  type PatternPoint,
  pressureOut,
  wipeFirst,
} from './caution.ts';

/**
 * The kinds of service points of the demo's patterns, each with what all of its kind have in
 * common. Common practice, no source.
 */
interface Named {
  readonly [key: string]: unknown;
  readonly key: string;
  readonly name: string;
  readonly place: string;
  readonly side?: 'left' | 'right' | 'centre';
  readonly liftPosition?: { readonly blocked?: boolean; readonly [axis: string]: unknown };
  readonly cautions?: readonly string[];
}

const wheelLift = ['wheel_lift'];

/** Whoever works below a raised lift has it on blocks, whatever the point. */
function point(kind: string, common: readonly string[], own: Named): PatternPoint {
  const blocked = own.liftPosition?.blocked === true ? [onBlocks] : [];
  const cautions = [...new Set([...blocked, ...common, ...(own.cautions ?? [])])];
  return { side: 'centre', serves: wheelLift, ...own, kind, cautions };
}

const grease = {
  lubricant: 'lithium-soap EP grease, NLGI 2',
  lubricantCode: 'KP2K-30',
  tool: 'grease gun',
  gloves: 'wear',
};

/** A grease fitting: wiped, then greased until it shows. */
export const fitting = (strokes: number, own: Named): PatternPoint =>
  point('grease_fitting', [atRest, eyes, gloves, wipeFirst], {
    ...grease,
    quantity: { amount: strokes, unit: 'strokes' },
    doneWhen: 'fresh grease shows all round and the old is wiped off',
    ...own,
  });

/** A pin with a fitting: greased until grease shows outside. */
export const pin = (strokes: number, own: Named): PatternPoint =>
  point('pin', [atRest, eyes, gloves, wipeFirst], {
    ...grease,
    quantity: { amount: strokes, unit: 'strokes' },
    doneWhen: 'grease shows at the washer or outside the pin, and its keeper sits in its groove',
    liftCritical: true,
    taps: [
      ['took_grease', 'one_side_only', 'took_none', 'fitting_missing', 'fitting_broken'],
      ['keeper_missing', 'has_play'],
    ].flat(),
    ...own,
  });

/** A track that gets its film by hand. */
export const track = (own: Named): PatternPoint =>
  point('wear_surface', [atRest, eyes, gloves], {
    lubricant: grease.lubricant,
    lubricantCode: grease.lubricantCode,
    tool: 'cloth and hand',
    gloves: 'wear',
    doneWhen: 'a thin film covers the whole track, without lumps',
    taps: ['film_laid', 'cleaned', 'gouged', 'worn'],
    ...own,
  });

/** What is looked at for bent, cracked and missing pieces before anything else. */
export const steel = (own: Named): PatternPoint =>
  point('structure', [atRest, findEndsIt], {
    liftCritical: true,
    taps: ['sound', 'bent', 'cracked', 'missing', 'worn', 'corroded'],
    doneWhen: 'clean enough to see every weld and edge, and nothing is bent, cracked or missing',
    ...own,
  });

/** Screws or bolts in a ring, without nuts: clean recesses, compound, crosswise, in stages. */
export const ring = (own: Named & { readonly fastener: object }): PatternPoint =>
  point('fastener', [atRest, eyes, gloves, figureIsExample], {
    liftCritical: true,
    gloves: 'wear',
    tool: 'torque wrench',
    doneWhen: 'the witness mark is unbroken; if it moved: out, clean, fresh compound, in stages',
    ...own,
    fastener: {
      nut: false,
      order: 'crosswise',
      cleanRecess: true,
      threadLocker: 'medium',
      ...own.fastener,
    },
  });

/** Bolts through into nuts. */
export const throughBolts = (own: Named & { readonly fastener: object }): PatternPoint =>
  point('fastener', [atRest, eyes, gloves, figureIsExample], {
    liftCritical: true,
    gloves: 'wear',
    tool: 'torque wrench',
    doneWhen: 'each has its witness mark unbroken, or is at torque with a new mark',
    ...own,
    fastener: { nut: true, order: 'along', ...own.fastener },
  });

/** Whatever is measured for wear. */
export const wearSurface = (own: Named): PatternPoint =>
  point('wear_surface', [atRest, eyes], {
    tool: 'feeler gauge',
    taps: ['measured', 'worn', 'gouged', 'missing'],
    ...own,
  });

const oil = [atRest, pressureOut, neverFeel, eyes];
export const hose = (own: Named): PatternPoint => point('hose', oil, { gloves: 'wear', ...own });
export const cylinder = (own: Named): PatternPoint =>
  point('cylinder', oil, {
    doneWhen: 'the rod is bright and dry and does not creep in ten minutes',
    ...own,
  });
export const fluid = (own: Named): PatternPoint =>
  point('fluid', oil, { lubricantCode: 'ISO VG 32', gloves: 'wear', ...own });
export const filter = (own: Named): PatternPoint =>
  point('filter', oil, { gloves: 'wear', ...own });

/** A drum that turns by itself: no gloves near it. */
export const drum = (own: Named): PatternPoint =>
  point('bearing', [atRest, bareHands, eyes], {
    gloves: 'never',
    taps: ['sound', 'worn', 'has_play'],
    ...own,
  });

export const chains = (own: Named): PatternPoint =>
  point('chain', [atRest], {
    liftCritical: true,
    serves: ['wheel_lift', 'road'],
    doneWhen: 'no stretched, bent or cut link, hooks closed by their latches, the tag can be read',
    ...own,
  });
export const straps = (own: Named): PatternPoint =>
  point('strap', [atRest], {
    liftCritical: true,
    serves: ['wheel_lift', 'dollies'],
    doneWhen: 'no cut, burn or knot, the stitching is whole and the tag can be read',
    ...own,
  });

/** Anything else, with nothing in common. */
export const other = (kind: string, own: Named): PatternPoint => point(kind, [], own);
