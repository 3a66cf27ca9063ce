import { grainsPerUnit, type Meter } from '../usage/meter.ts';
import {
  below,
  type JsonObject,
  note,
  noteRepeats,
  type Report,
  readChoice,
  readKey,
  readList,
  readObject,
  readScaled,
  readText,
} from './document-reader.ts';
import { MAX_FIGURE } from './point-limit.ts';
import { MAX_NAME } from './service-point.ts';
import { MAX_METERS_PER_TASK, MAX_POINTS } from './task-rule.ts';

export const WEAR_UNITS = ['mm', 'nm', 'turns', 'percent'] as const;

/** How a gap is taken up again without a new part. Figures are thousandths of a turn or `unit`. */
export interface TakeUp {
  /** Where it is turned. */
  points: string[];
  /** What one turn takes away of the gap. */
  perTurnThousandths?: number;
  /** More turns than this since the part was new, and it is worn out. */
  mostTurnsThousandths?: number;
}

/**
 * A part whose wear is measured or aged. Figures are thousandths of `unit`. It wears from nominal
 * towards its limit, so a thickness shrinks and a clearance grows.
 */
export interface WearPart {
  key: string;
  name: string;
  points: string[];
  /** What wears it, the first one most; each belongs to the pattern's kind of asset. */
  meters: string[];
  unit: (typeof WEAR_UNITS)[number];
  /** It grows with wear, as a clearance does. */
  grows: boolean;
  /** How many are changed together. */
  quantity: number;
  nominalThousandths?: number;
  /** How far new parts differ from nominal, as one standard deviation. */
  toleranceThousandths?: number;
  /** From here on it is close to its limit. */
  nearThousandths?: number;
  /** At the limit it is still good, beyond it no more. */
  limitThousandths?: number;
  gauge?: string;
  /** What two readings of the same part differ by, as one standard deviation. */
  gaugeErrorThousandths?: number;
  /** What the shop believes that one lasts, by meter, before anything was measured. */
  priorLife: { meter: string; grains: number }[];
  takeUp?: TakeUp;
}

export const WEAR_KEYS = [
  'key',
  'name',
  'points',
  'meters',
  'unit',
  'grows',
  'quantity',
  'nominal',
  'tolerance',
  'near',
  'limit',
  'gauge',
  'gaugeError',
  'priorLife',
  'takeUp',
];
export const TAKE_UP_KEYS = ['points', 'perTurn', 'mostTurns'];
export const WEAR_FIGURES = ['nominal', 'tolerance', 'near', 'limit', 'gaugeError'] as const;
export const MAX_PARTS = 100;
export const MAX_PRIOR_LIFE = 100_000_000;

/** `meters` are all meters of the fleet. */
export function readWearPart(
  report: Report,
  path: string,
  value: unknown,
  assetKind: string,
  meters: readonly Meter[],
): WearPart {
  const o = readObject(report, path, value, WEAR_KEYS) ?? {};
  const at = (key: string) => below(path, key);
  const own = meters.filter((m) => m.assetKind === assetKind);
  const keys = (key: string, max: number) =>
    readList(report, at(key), o[key], { min: 1, max }, (p, v) => readKey(report, p, v));
  const bounds = { min: 1, max: MAX_PARTS };
  const part: WearPart = {
    key: readKey(report, at('key'), o.key),
    name: readText(report, at('name'), o.name, MAX_NAME),
    points: keys('points', MAX_POINTS),
    meters: keys('meters', MAX_METERS_PER_TASK),
    unit: readChoice(report, at('unit'), o.unit, WEAR_UNITS, 'mm'),
    grows: false,
    quantity:
      o.quantity === undefined ? 1 : readScaled(report, at('quantity'), o.quantity, 1, bounds),
    priorLife: readPriorLife(report, at('priorLife'), o.priorLife, own),
  };
  part.meters.forEach((meter, i) => {
    if (meter !== '' && !own.some((m) => m.name === meter)) {
      note(report, below(at('meters'), i), `is not a meter of a ${assetKind}`);
    }
  });
  noteRepeats(report, at('points'), part.points);
  noteRepeats(report, at('meters'), part.meters);
  for (const figure of WEAR_FIGURES) {
    if (o[figure] === undefined) continue;
    const size = { min: 0, max: MAX_FIGURE };
    part[`${figure}Thousandths`] = readScaled(report, at(figure), o[figure], 1000, size);
  }
  if (o.gauge !== undefined) part.gauge = readText(report, at('gauge'), o.gauge, MAX_NAME);
  if (o.takeUp !== undefined) part.takeUp = readTakeUp(report, at('takeUp'), o.takeUp);
  readDirection(report, at, o, part);
  noteFigures(report, at, part);
  for (const { meter } of part.priorLife) {
    if (part.meters.includes(meter)) continue;
    note(report, below(at('priorLife'), meter), 'is not one of the meters that wear it');
  }
  return part;
}

function readPriorLife(
  report: Report,
  path: string,
  value: unknown,
  own: readonly Meter[],
): WearPart['priorLife'] {
  if (value === undefined) return [];
  const known = own.map(({ name }) => name);
  const o = readObject(report, path, value, known);
  if (o && Object.keys(o).length === 0) note(report, path, 'must name a meter');
  return own.flatMap(({ name, dimension }) => {
    if (o?.[name] === undefined) return [];
    const scale = grainsPerUnit[dimension];
    const bounds = { min: 0, max: MAX_PRIOR_LIFE, above: true };
    return [{ meter: name, grains: readScaled(report, below(path, name), o[name], scale, bounds) }];
  });
}

function readTakeUp(report: Report, path: string, value: unknown): TakeUp {
  const o = readObject(report, path, value, TAKE_UP_KEYS) ?? {};
  const at = (key: string) => below(path, key);
  const takeUp: TakeUp = {
    points: readList(report, at('points'), o.points, { min: 1, max: MAX_POINTS }, (p, v) =>
      readKey(report, p, v),
    ),
  };
  noteRepeats(report, at('points'), takeUp.points);
  const bounds = { min: 0, max: 1000, above: true };
  if (o.perTurn !== undefined) {
    takeUp.perTurnThousandths = readScaled(report, at('perTurn'), o.perTurn, 1000, bounds);
  }
  if (o.mostTurns !== undefined) {
    takeUp.mostTurnsThousandths = readScaled(report, at('mostTurns'), o.mostTurns, 1000, bounds);
  }
  return takeUp;
}

/** Which way it wears: as its figures say, or where they do not, as the document says. */
function readDirection(
  report: Report,
  at: (key: string) => string,
  o: JsonObject,
  part: WearPart,
): void {
  const { nominalThousandths: nominal, limitThousandths: limit } = part;
  if (o.grows !== undefined && typeof o.grows !== 'boolean') {
    note(report, at('grows'), 'must be true or false');
  }
  part.grows = o.grows === true;
  if (nominal === undefined || limit === undefined || nominal === limit) return;
  part.grows = limit > nominal;
  if (typeof o.grows === 'boolean' && o.grows !== part.grows) {
    const way = part.grows ? 'grows' : 'shrinks';
    note(report, at('grows'), `contradicts the figures: from nominal to limit it ${way}`);
  }
}

function noteFigures(report: Report, at: (key: string) => string, part: WearPart): void {
  const { nominalThousandths: nominal, nearThousandths: near, limitThousandths: limit } = part;
  if (nominal !== undefined && limit === nominal) {
    note(report, at('limit'), 'is the nominal value: nothing would be left to wear');
  }
  if (near === undefined) return;
  if (limit === undefined) {
    note(report, at('near'), 'needs a limit that it is near to');
    return;
  }
  const beforeLimit = part.grows ? near < limit : near > limit;
  const afterNew = nominal === undefined || (part.grows ? near > nominal : near < nominal);
  if (nominal === limit || (beforeLimit && afterNew)) return;
  note(report, at('near'), 'must lie between nominal and limit');
}
