/**
 * CAN frames as text, one a line, as `candump -L` writes them:
 *
 *     (1699999999.123456) can0 18FEE700#81C40300E1730000
 *
 * seconds since 1970, the interface, the identifier in hex (eight digits: extended, three:
 * standard) and the data. Only extended data frames can be of J1939; remote frames (`#R`), CAN FD
 * (`##`), standard identifiers and error frames are passed over with a count, since a dump of a
 * whole bus is full of them. Any text is read; nothing throws. Pure.
 */
import { parseInstant } from '../instant.ts';
import { frameIdMax } from './j1939-frame.ts';
import { frameBytes } from './j1939-parameter.ts';

export interface Frame {
  /** Line of the text, or place in the list, from 1. */
  readonly line: number;
  readonly atMs: number;
  /** 29 bits. */
  readonly id: number;
  /** Data in hex, whole bytes. */
  readonly hex: string;
}

export const passedOver = ['remote', 'can_fd', 'standard', 'error_frame'] as const;
export type PassedOver = (typeof passedOver)[number];

export interface ReadFrames {
  readonly frames: Frame[];
  readonly skipped: Record<PassedOver, number>;
  /** How many lines are no frame at all, and the first of them. */
  readonly unreadable: number;
  readonly faults: { line: number; reason: string }[];
  /** There were more lines than are taken; those after them were not looked at. */
  readonly tooMany: boolean;
}

export const frameBounds = {
  framesMost: 50_000,
  /** A line of `candump -L` has at most about 60 characters. */
  lineMost: 200,
  faultsMost: 20,
} as const;

/** Flags that SocketCAN keeps above the 29 bits. */
const remoteFlag = 0x4000_0000;
const errorFlag = 0x2000_0000;

class Reading implements ReadFrames {
  readonly frames: Frame[] = [];
  readonly skipped = { remote: 0, can_fd: 0, standard: 0, error_frame: 0 };
  unreadable = 0;
  readonly faults: { line: number; reason: string }[] = [];
  tooMany = false;

  fault(line: number, reason: string): void {
    this.unreadable += 1;
    if (this.faults.length < frameBounds.faultsMost) this.faults.push({ line, reason });
  }

  /** One frame whose parts have the right characters. */
  take(line: number, atMs: number, idHex: string, hex: string): void {
    const kind = kindOf(idHex, hex);
    if (kind !== 'data') {
      this.skipped[kind] += 1;
      return;
    }
    const fault = dataFault(hex);
    if (fault === null) {
      this.frames.push({ line, atMs, id: Number.parseInt(idHex, 16) & frameIdMax, hex });
    } else this.fault(line, fault);
  }
}

function dataFault(hex: string): string | null {
  if (hex.length % 2 !== 0) return 'the data is not whole bytes';
  return hex.length > 2 * frameBytes ? 'more than eight bytes of data' : null;
}

function kindOf(idHex: string, rest: string): PassedOver | 'data' {
  const id = Number.parseInt(idHex, 16);
  if (idHex.length <= 3) return 'standard';
  if ((id & errorFlag) !== 0) return 'error_frame';
  if (rest.startsWith('#')) return 'can_fd';
  if (rest.startsWith('R') || (id & remoteFlag) !== 0) return 'remote';
  return 'data';
}

// After the data newer versions may write the length code, and whether it was sent or received.
const linePattern = new RegExp(
  [
    /^\s*\((\d{1,12})(?:\.(\d{1,9}))?\)\s+\S{1,32}\s+/,
    /([0-9A-Fa-f]{3}|[0-9A-Fa-f]{8})#/,
    /(#[0-9A-Fa-f]*|R[0-9A-Fa-f]?|[0-9A-Fa-f]*)(?:_[0-9A-Fa-f])?(?:\s+[TR])?\s*$/,
  ]
    .map((part) => part.source)
    .join(''),
);

/** Whole milliseconds; what is finer is cut off. */
function lineMs(seconds: string, fraction = ''): number {
  return Number(seconds) * 1000 + Number(fraction.padEnd(3, '0').slice(0, 3));
}

/** Reads the text of a candump. Empty lines say nothing. */
export function readCandump(text: string): ReadFrames {
  const reading = new Reading();
  let line = 0;
  for (let from = 0; from < text.length; ) {
    const end = text.indexOf('\n', from);
    const to = end === -1 ? text.length : end;
    line += 1;
    if (line > frameBounds.framesMost) {
      reading.tooMany = true;
      break;
    }
    readLine(reading, line, text, from, to);
    from = to + 1;
  }
  return reading;
}

function readLine(reading: Reading, line: number, text: string, from: number, to: number): void {
  if (to - from > frameBounds.lineMost) {
    reading.fault(line, 'the line is too long');
    return;
  }
  const content = text.slice(from, to);
  const match = linePattern.exec(content);
  if (match !== null) {
    const [, seconds, fraction, id, rest] = match as unknown as string[];
    reading.take(line, lineMs(seconds as string, fraction), id as string, rest as string);
  } else if (content.trim() !== '') reading.fault(line, 'is not "(seconds) interface id#data"');
}

/** The device's time: ms since 1970, or RFC 3339. */
function memberMs(at: unknown): number | null {
  if (Number.isSafeInteger(at) && (at as number) >= 0) return at as number;
  const ms = typeof at === 'string' && at.length <= 40 ? parseInstant(at) : null;
  return ms === null || ms < 0 ? null : ms;
}

/**
 * Reads frames as members of a list: `{"at": 1699999999123, "id": "18FEE700", "data":
 * "81C40300E1730000"}`. `at` is ms since 1970 or RFC 3339; spaces in `data` are allowed; bit 31 of
 * the identifier may be set.
 */
export function readFrameList(list: readonly unknown[]): ReadFrames {
  const reading = new Reading();
  for (const [index, member] of list.entries()) {
    const line = index + 1;
    if (index >= frameBounds.framesMost) {
      reading.tooMany = true;
      break;
    }
    const { at, id, data } = (
      typeof member === 'object' && member !== null ? member : {}
    ) as Record<string, unknown>;
    const atMs = memberMs(at);
    if (atMs === null) reading.fault(line, 'at: ms since 1970, or RFC 3339');
    else if (typeof id !== 'string' || !/^[0-9A-Fa-f]{1,8}$/.test(id)) {
      reading.fault(line, 'id: up to eight hex digits in a string');
    } else if (typeof data !== 'string' || !/^[0-9A-Fa-f ]{0,64}$/.test(data)) {
      reading.fault(line, 'data: bytes in hex in a string');
    } else reading.take(line, atMs, id, data.replaceAll(' ', ''));
  }
  return reading;
}

/** The bytes of a frame's data. */
export function frameData(hex: string): number[] {
  const bytes: number[] = [];
  for (let i = 0; i + 1 < hex.length; i += 2) bytes.push(Number.parseInt(hex.slice(i, i + 2), 16));
  return bytes;
}
