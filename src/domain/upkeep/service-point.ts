import {
  below,
  type JsonObject,
  noteRepeatedKeys,
  type Report,
  readChoice,
  readChoices,
  readFlag,
  readKey,
  readList,
  readObject,
  readScaled,
  readText,
} from './document-reader.ts';
import { type Fastener, noteFastener, readFastener } from './fastener.ts';
import { readLubricantCode } from './lubricant-code.ts';
import { type Limit, MAX_LIMITS, readLimit } from './point-limit.ts';
import { type PointTap, readTaps } from './point-tap.ts';

/** What a unit can be sent to do; readiness is told per function. */
export const UNIT_FUNCTIONS = ['wheel_lift', 'winch', 'boom', 'dollies', 'road'] as const;
export type UnitFunction = (typeof UNIT_FUNCTIONS)[number];

export const POINT_KINDS = [
  'grease_fitting',
  'fastener',
  'wear_surface',
  'hose',
  'rope',
  'pin',
  'bearing',
  'chain',
  'hook',
  'strap',
  'cylinder',
  'valve',
  'filter',
  'fluid',
  'wheel',
  'brake',
  'electrical',
  'control',
  'structure',
  'label',
] as const;
export type PointKind = (typeof POINT_KINDS)[number];

export const SIDES = ['left', 'right', 'centre'] as const;
export type Side = (typeof SIDES)[number];

/** How the lift must stand to work on a point. An axis left out does not matter. */
export const LIFT_AXES = {
  fold: ['folded', 'slightly_folded', 'unfolded'],
  reach: ['in', 'slightly_out', 'half', 'out'],
  height: ['down', 'mid', 'up'],
  arms: ['stowed', 'fitted', 'removed'],
  crossbar: ['straight', 'swung_left', 'swung_right'],
} as const;
type LiftAxes = typeof LIFT_AXES;
export type LiftPosition = {
  readonly [axis in keyof LiftAxes]?: LiftAxes[axis][number];
} & {
  /** The raised lift must rest on blocks, never on oil. */
  readonly blocked?: boolean;
};

/** The state of the thread that a torque figure assumes. */
export const THREAD_STATES = ['dry', 'oiled', 'anti_seize', 'thread_locker'] as const;
export interface Torque {
  /** Thousandths of a newton metre. */
  milliNm: number;
  thread: (typeof THREAD_STATES)[number];
}

export const QUANTITY_UNITS = ['strokes', 'g', 'ml'] as const;
export interface Quantity {
  /** Thousandths of the unit. */
  thousandths: number;
  unit: (typeof QUANTITY_UNITS)[number];
}

/** Never: near a drum or anything else that turns and could draw a hand in. */
export const GLOVES = ['wear', 'never'] as const;

export interface ServicePoint {
  key: string;
  kind: PointKind;
  name: string;
  side: Side;
  /** Where it is and where to stand, in words. */
  place: string;
  liftPosition: LiftPosition;
  /** Its failure can drop or lose a load; work on it needs a check by a second person. */
  liftCritical: boolean;
  oftenMissed: boolean;
  serves: UnitFunction[];
  cautions: string[];
  /** What can be told about it with one tap. */
  taps: PointTap[];
  limits: Limit[];
  gloves?: (typeof GLOVES)[number];
  lubricant?: string;
  /** The standard designation of the lubricant: 'KP2K-30'. */
  lubricantCode?: string;
  quantity?: Quantity;
  torque?: Torque;
  fastener?: Fastener;
  tool?: string;
  /** The key or socket that fits: '24 mm hex'. */
  fits?: string;
  /** How it shows that it is done. */
  doneWhen?: string;
  usualMistake?: string;
}

export const POINT_KEYS = [
  'key',
  'kind',
  'name',
  'side',
  'place',
  'liftPosition',
  'liftCritical',
  'oftenMissed',
  'serves',
  'cautions',
  'taps',
  'limits',
  'gloves',
  'lubricant',
  'lubricantCode',
  'quantity',
  'torque',
  'fastener',
  'tool',
  'fits',
  'doneWhen',
  'usualMistake',
];
export const POINT_WORDS = ['lubricant', 'tool', 'fits', 'doneWhen', 'usualMistake'] as const;

export const MAX_NAME = 120;
export const MAX_SENTENCE = 300;
export const MAX_CAUTIONS = 20;

export function readCautions(report: Report, path: string, value: unknown): string[] {
  return readList(report, path, value, { max: MAX_CAUTIONS }, (at, v) =>
    readText(report, at, v, MAX_SENTENCE),
  );
}

export function readServicePoint(report: Report, path: string, value: unknown): ServicePoint {
  const o = readObject(report, path, value, POINT_KEYS) ?? {};
  const at = (key: string) => below(path, key);
  const kind = readChoice(report, at('kind'), o.kind, POINT_KINDS);
  const point: ServicePoint = {
    key: readKey(report, at('key'), o.key),
    kind,
    name: readText(report, at('name'), o.name, MAX_NAME),
    side: readChoice(report, at('side'), o.side, SIDES),
    place: readText(report, at('place'), o.place, MAX_SENTENCE),
    liftPosition: readLiftPosition(report, at('liftPosition'), o.liftPosition),
    liftCritical: readFlag(report, at('liftCritical'), o.liftCritical),
    oftenMissed: readFlag(report, at('oftenMissed'), o.oftenMissed),
    serves: readChoices(report, at('serves'), o.serves, UNIT_FUNCTIONS),
    cautions: readCautions(report, at('cautions'), o.cautions),
    taps: readTaps(report, at('taps'), o.taps, kind),
    limits: readList(report, at('limits'), o.limits, { max: MAX_LIMITS }, (p, v) =>
      readLimit(report, p, v),
    ),
  };
  noteRepeatedKeys(report, at('limits'), point.limits);
  readExtras(report, at, o, point);
  noteFastener(report, path, point);
  return point;
}

/** What a point need not have, and has only where it is said. */
function readExtras(
  report: Report,
  at: (key: string) => string,
  o: JsonObject,
  point: ServicePoint,
): void {
  for (const word of POINT_WORDS) {
    if (o[word] !== undefined) point[word] = readText(report, at(word), o[word], MAX_SENTENCE);
  }
  if (o.gloves !== undefined) {
    point.gloves = readChoice(report, at('gloves'), o.gloves, GLOVES);
  }
  if (o.lubricantCode !== undefined) {
    point.lubricantCode = readLubricantCode(report, at('lubricantCode'), o.lubricantCode);
  }
  if (o.quantity !== undefined) point.quantity = readQuantity(report, at('quantity'), o.quantity);
  if (o.torque !== undefined) point.torque = readTorque(report, at('torque'), o.torque);
  if (o.fastener !== undefined) point.fastener = readFastener(report, at('fastener'), o.fastener);
}

function readLiftPosition(report: Report, path: string, value: unknown): LiftPosition {
  if (value === undefined) return {};
  const axes = Object.keys(LIFT_AXES) as (keyof LiftAxes)[];
  const o = readObject(report, path, value, [...axes, 'blocked']) ?? {};
  const position: Record<string, string | boolean> = {};
  for (const axis of axes) {
    if (o[axis] === undefined) continue;
    const choices: readonly string[] = LIFT_AXES[axis];
    position[axis] = readChoice(report, below(path, axis), o[axis], choices);
  }
  if (o.blocked !== undefined) {
    position.blocked = readFlag(report, below(path, 'blocked'), o.blocked);
  }
  return position as LiftPosition;
}

function readQuantity(report: Report, path: string, value: unknown): Quantity {
  const o = readObject(report, path, value, ['amount', 'unit']) ?? {};
  const bounds = { min: 0, max: 1_000_000, above: true };
  return {
    thousandths: readScaled(report, below(path, 'amount'), o.amount, 1000, bounds),
    unit: readChoice(report, below(path, 'unit'), o.unit, QUANTITY_UNITS),
  };
}

function readTorque(report: Report, path: string, value: unknown): Torque {
  const o = readObject(report, path, value, ['nm', 'thread']) ?? {};
  const bounds = { min: 0, max: 10_000, above: true };
  return {
    milliNm: readScaled(report, below(path, 'nm'), o.nm, 1000, bounds),
    thread: readChoice(report, below(path, 'thread'), o.thread, THREAD_STATES),
  };
}
