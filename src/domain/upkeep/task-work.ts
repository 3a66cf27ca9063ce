import type { ServicePoint } from './service-point.ts';

/**
 * What kind of work a task is. A card's steps come in this order: everything is looked at before
 * anything is touched, and what was cleaned is measured before it is greased.
 */
export const WORK_KINDS = [
  'look',
  'clean',
  'measure',
  'fasten',
  'grease',
  'fill',
  'replace',
  'test',
] as const;
export type WorkKind = (typeof WORK_KINDS)[number];

type WorkedPoint = Pick<ServicePoint, 'kind' | 'lubricant' | 'quantity'>;

/** The usual work on a point, where its task does not say: to grease a fitting. */
export function usualWork({ kind, lubricant, quantity }: WorkedPoint): WorkKind {
  switch (kind) {
    case 'grease_fitting':
      return 'grease';
    case 'pin':
    case 'bearing':
      return lubricant === undefined && quantity === undefined ? 'look' : 'grease';
    case 'fastener':
      return 'fasten';
    case 'wear_surface':
      return 'measure';
    case 'fluid':
      return 'fill';
    case 'filter':
      return 'replace';
    case 'control':
    case 'brake':
    case 'valve':
      return 'test';
    default:
      return 'look';
  }
}

/** What a task does at one of its points. */
export function workOn(task: { work: WorkKind | null }, point: WorkedPoint): WorkKind {
  return task.work ?? usualWork(point);
}
