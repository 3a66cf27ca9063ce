import {
  below,
  note,
  type Report,
  readChoice,
  readKey,
  readObject,
  readScaled,
  readText,
} from './document-reader.ts';

export const MEASURE_UNITS = ['mm', 'nm', 'turns', 'percent', 'bar', 'celsius', 'seconds'] as const;
export type MeasureUnit = (typeof MEASURE_UNITS)[number];

/**
 * What is measured at a point and where it must stay: at least, at most, or between. Figures are
 * thousandths of `unit`; the edges themselves are still good.
 */
export interface Limit {
  key: string;
  name: string;
  unit: MeasureUnit;
  leastThousandths?: number;
  mostThousandths?: number;
}

export const LIMIT_KEYS = ['key', 'name', 'unit', 'least', 'most'];
export const MAX_LIMITS = 10;
export const MAX_FIGURE = 1_000_000;
const MAX_LIMIT_NAME = 120;

export function readLimit(report: Report, path: string, value: unknown): Limit {
  const o = readObject(report, path, value, LIMIT_KEYS) ?? {};
  const at = (key: string) => below(path, key);
  const figure = (key: string) =>
    readScaled(report, at(key), o[key], 1000, { min: 0, max: MAX_FIGURE });
  const limit: Limit = {
    key: readKey(report, at('key'), o.key),
    name: readText(report, at('name'), o.name, MAX_LIMIT_NAME),
    unit: readChoice(report, at('unit'), o.unit, MEASURE_UNITS),
  };
  if (o.least !== undefined) limit.leastThousandths = figure('least');
  if (o.most !== undefined) limit.mostThousandths = figure('most');
  const { leastThousandths: least, mostThousandths: most } = limit;
  if (o.least === undefined && o.most === undefined) {
    note(report, path, 'must say least, most or both');
  }
  if (least !== undefined && most !== undefined && least > most) {
    note(report, at('most'), 'is less than least: nothing could be right');
  }
  return limit;
}
