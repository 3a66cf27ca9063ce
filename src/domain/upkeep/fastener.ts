import {
  below,
  note,
  type Report,
  readChoice,
  readFlag,
  readObject,
  readScaled,
} from './document-reader.ts';

export const FASTENER_HEADS = [
  'hex',
  'flange_hex',
  'socket_cap',
  'countersunk',
  'button',
  'set_screw',
  'shoulder',
] as const;

/** How hard the compound holds: `low` comes out with hand tools, `high` wants heat. */
export const THREAD_LOCKERS = ['low', 'medium', 'high'] as const;

/** Crosswise: each next one across from the last, so that the ring is drawn down evenly. */
export const TIGHTENING_ORDERS = ['any', 'crosswise', 'along'] as const;

/** What holds at a point of kind `fastener`, and how it is tightened. */
export interface Fastener {
  head: (typeof FASTENER_HEADS)[number];
  count: number;
  /** Each goes through into a nut. */
  nut: boolean;
  /** Recesses are cleaned before a key goes in. */
  cleanRecess: boolean;
  order: (typeof TIGHTENING_ORDERS)[number];
  threadLocker?: (typeof THREAD_LOCKERS)[number];
}

export const FASTENER_KEYS = ['head', 'count', 'nut', 'cleanRecess', 'order', 'threadLocker'];
export const MAX_FASTENERS = 200;

export function readFastener(report: Report, path: string, value: unknown): Fastener {
  const o = readObject(report, path, value, FASTENER_KEYS) ?? {};
  const at = (key: string) => below(path, key);
  const bounds = { min: 1, max: MAX_FASTENERS };
  const fastener: Fastener = {
    head: readChoice(report, at('head'), o.head, FASTENER_HEADS),
    count: o.count === undefined ? 1 : readScaled(report, at('count'), o.count, 1, bounds),
    nut: readFlag(report, at('nut'), o.nut),
    cleanRecess: readFlag(report, at('cleanRecess'), o.cleanRecess),
    order: readChoice(report, at('order'), o.order, TIGHTENING_ORDERS, 'any'),
  };
  if (o.threadLocker !== undefined) {
    const choices = THREAD_LOCKERS;
    fastener.threadLocker = readChoice(report, at('threadLocker'), o.threadLocker, choices);
  }
  return fastener;
}

interface FastenedPoint {
  kind: string;
  fastener?: Fastener;
  torque?: { thread: string };
}

/** A torque holds for one state of the thread; the two must not say different things. */
export function noteFastener(report: Report, path: string, point: FastenedPoint): void {
  const { fastener, torque } = point;
  if (!fastener) return;
  if (point.kind !== 'fastener') {
    note(report, below(path, 'fastener'), 'belongs to a point of kind fastener only');
  }
  if (!torque) return;
  const compound = torque.thread === 'thread_locker';
  if (compound === (fastener.threadLocker !== undefined)) return;
  const reason = compound
    ? 'the torque is for a thread with compound: say which with fastener.threadLocker'
    : 'must be thread_locker: the fastener gets compound';
  note(report, `${below(path, 'torque')}/thread`, reason);
}
