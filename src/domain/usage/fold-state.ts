/** What the fold knows after a reading: small, plain, JSON-safe, comparable. */
import type { Position, StreamCause } from './run.ts';

/** A reading set aside, with the allowance that readings going on from it have left. */
export interface AsideReading extends Position {
  readonly atMs: number;
  readonly raw: number;
  readonly creditMs: number;
  /** Its clock was proved fast. */
  readonly fast: boolean;
}

/** The latest reading whose time is not trusted, counted up to but not yet in the state. */
export interface PendingReading extends Position {
  readonly raw: number;
  /** Ticks of use from the last accepted value up to this one. */
  readonly ticks: number;
  readonly receivedAtMs: number;
  /** Why a new stream began, when no trusted reading of it has come yet. */
  readonly cause: StreamCause | null;
}

/**
 * What stood before an undeclared reset, until the reset has been borne out; the position is the
 * reset's.
 */
export interface BeforeReset extends Position {
  readonly resetAtMs: number;
  readonly resetRaw: number;
  /** The value that the reset fell from. */
  readonly against: number;
  readonly raw: number;
  readonly atMs: number;
  readonly creditMs: number;
  /** Ticks counted since: by the reset itself and by what went on from it. */
  readonly ticks: number;
  /** Readings that went on from the reset. */
  readonly goneOn: number;
}

export interface FoldState extends Position {
  /** `untimed`: the first reading's clock was not to be trusted; `atMs` is when it arrived. */
  readonly base: 'none' | 'untimed' | 'timed';
  /** The last accepted value, in ticks; the maximum that stands. */
  readonly raw: number;
  /** When it was read. */
  readonly atMs: number;
  /**
   * How far the counter may run ahead of the clock from here, in ms: never more than one tick's
   * worth, so that all rises since the base together stay within elapsed time plus one step.
   */
  readonly creditMs: number;
  readonly pending: PendingReading | null;
  readonly aside: readonly AsideReading[];
  readonly beforeReset: BeforeReset | null;
}

export type Mutable<T> = { -readonly [Key in keyof T]: T[Key] };

export const emptyFoldState: FoldState = {
  ordinal: -1,
  seq: -1,
  base: 'none',
  raw: 0,
  atMs: 0,
  creditMs: 0,
  pending: null,
  aside: [],
  beforeReset: null,
};

/** Whether the fold would go on from both in the same way. */
export function sameState(a: FoldState, b: FoldState): boolean {
  return (
    a.ordinal === b.ordinal &&
    a.seq === b.seq &&
    a.base === b.base &&
    a.raw === b.raw &&
    a.atMs === b.atMs &&
    a.creditMs === b.creditMs &&
    samePending(a.pending, b.pending) &&
    a.aside.length === b.aside.length &&
    a.aside.every((each, index) => sameAside(each, b.aside[index]!)) &&
    sameBefore(a.beforeReset, b.beforeReset)
  );
}

function sameAside(a: AsideReading, b: AsideReading): boolean {
  return (
    a.ordinal === b.ordinal &&
    a.seq === b.seq &&
    a.atMs === b.atMs &&
    a.raw === b.raw &&
    a.creditMs === b.creditMs &&
    a.fast === b.fast
  );
}

function samePending(a: PendingReading | null, b: PendingReading | null): boolean {
  if (a === null || b === null) return a === b;
  return (
    a.ordinal === b.ordinal &&
    a.seq === b.seq &&
    a.raw === b.raw &&
    a.ticks === b.ticks &&
    a.receivedAtMs === b.receivedAtMs &&
    a.cause === b.cause
  );
}

function sameBefore(a: BeforeReset | null, b: BeforeReset | null): boolean {
  if (a === null || b === null) return a === b;
  return (
    a.ordinal === b.ordinal &&
    a.seq === b.seq &&
    a.raw === b.raw &&
    a.atMs === b.atMs &&
    a.creditMs === b.creditMs &&
    a.resetAtMs === b.resetAtMs &&
    a.resetRaw === b.resetRaw &&
    a.against === b.against &&
    a.ticks === b.ticks &&
    a.goneOn === b.goneOn
  );
}
