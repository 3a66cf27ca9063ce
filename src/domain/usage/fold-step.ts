/** One reading that is not an ordinary rise. */
import type { Judgement } from './fold-rules.ts';
import {
  allowanceOf,
  clockFault,
  decisionOn,
  type FoldRules,
  judge,
  placedAt,
} from './fold-rules.ts';
import type { FoldSink } from './fold-sink.ts';
import type { AsideReading, FoldState, Mutable } from './fold-state.ts';
import { arrivedAt, type Position, type Run, type StreamCause, strongestCause } from './run.ts';
import type { FoldVerdict, VerdictReason } from './verdict.ts';

type State = Mutable<FoldState>;

/** A reading placed in time. */
interface Placed extends Position {
  readonly atMs: number;
  readonly raw: number;
  readonly receivedAtMs: number;
  /** The clock was proved fast, and the time put right. */
  readonly fast: boolean;
  /** Why the stream began, at the first reading of a stream that is not the line's first. */
  readonly cause: StreamCause | null;
}

/** Further readings that must go on from one before it is believed against the value that stood. */
const furtherReadings = 2;

/** Folds one reading into the state, by every rule there is. */
export function stepReading(
  state: State,
  run: Run,
  index: number,
  rules: FoldRules,
  sink: FoldSink,
): void {
  const receivedAtMs = arrivedAt(run, index);
  const reading: Placed = {
    ordinal: run.ordinal,
    seq: run.firstSeq + index,
    atMs: placedAt(run.at[index]!, run.offsetMs, receivedAtMs),
    raw: run.raw[index]!,
    receivedAtMs,
    fast: run.offsetMs > 0,
    cause: run.ordinal === state.ordinal || state.base === 'none' ? null : run.cause,
  };
  state.ordinal = reading.ordinal;
  state.seq = reading.seq;
  const fault = clockFault(reading.atMs, receivedAtMs, rules.earliestMs);
  if (state.base === 'none') {
    if (fault === null) {
      startAt(state, reading, reading.atMs, 'timed', rules);
      say(sink, reading, 'baseline', 'start', null);
    } else {
      startAt(state, reading, reading.receivedAtMs, 'untimed', rules);
      say(sink, reading, 'clock_suspect', fault, null);
    }
    return;
  }
  if (fault === null && state.base === 'untimed' && reading.atMs < state.atMs) {
    // The first time that can be trusted, and it lies before our guess for the base: begin again
    // here.
    dropAside(state, sink);
    say(sink, reading, 'baseline', 'start', state.raw);
    startAt(state, reading, reading.atMs, 'timed', rules);
    return;
  }
  const reason = fault ?? (reading.atMs < state.atMs ? 'behind' : null);
  if (reason === null) place(state, reading, rules, sink);
  else hold(state, reading, reason, rules, sink);
}

function say(
  sink: FoldSink,
  reading: Position & { readonly atMs: number; readonly raw: number },
  verdict: FoldVerdict,
  reason: VerdictReason,
  against: number | null,
): void {
  const { ordinal, seq, atMs, raw } = reading;
  sink.verdict(ordinal, seq, verdict, atMs, raw, { reason, against });
}

/** A new base: nothing that stood before it is compared with any more. */
function startAt(
  state: State,
  reading: Placed,
  atMs: number,
  base: 'timed' | 'untimed',
  rules: FoldRules,
): void {
  state.base = base;
  state.raw = reading.raw;
  state.atMs = atMs;
  state.creditMs = allowanceOf(rules);
  state.pending = null;
  state.beforeReset = null;
}

/**
 * A reading whose time cannot be right: its value is remembered, its use waits for a trusted
 * neighbour.
 */
function hold(
  state: State,
  reading: Placed,
  reason: VerdictReason,
  rules: FoldRules,
  sink: FoldSink,
): void {
  const { pending } = state;
  const standing = pending ?? { raw: state.raw, ticks: 0 };
  // It was read before it arrived: by our clock no more time than this has passed.
  const elapsedMs = Math.max(0, reading.receivedAtMs - state.atMs);
  const found = judge(standing, reading.raw, elapsedMs, state.creditMs, reading.cause, rules);
  const cause = joinCauses(pending?.cause ?? null, reading.cause);
  const { ordinal, seq, receivedAtMs } = reading;
  if (found !== null && found.step !== 'jitter') {
    const { ticks } = found;
    state.pending = { ordinal, seq, raw: reading.raw, ticks, receivedAtMs, cause };
  } else if (reading.cause !== null) {
    // The value says nothing, but the stream's cause must reach the first reading that does.
    const { raw, ticks } = standing;
    const arrivedMs = pending?.receivedAtMs ?? receivedAtMs;
    state.pending = { ordinal, seq, raw, ticks, receivedAtMs: arrivedMs, cause };
  }
  say(sink, reading, 'clock_suspect', reason, standing.raw);
}

function joinCauses(one: StreamCause | null, other: StreamCause | null): StreamCause | null {
  if (one === null || other === null) return one ?? other;
  return strongestCause([one, other]);
}

/** A reading whose time is trusted, at or after the last accepted one. */
function place(state: State, reading: Placed, rules: FoldRules, sink: FoldSink): void {
  const { found, cause } = weigh(state, reading, rules);
  if (found === null) {
    if (!restore(state, reading, cause, rules, sink)) setAside(state, reading, cause, rules, sink);
    return;
  }
  const against = state.pending?.raw ?? state.raw;
  dropAside(state, sink);
  switch (found.step) {
    case 'jitter':
      say(sink, reading, 'jitter', 'by_value', against);
      return;
    case 'baseline':
      count(state.atMs, reading, found.ticks, rules, sink);
      startAt(state, reading, reading.atMs, 'timed', rules);
      say(sink, reading, 'baseline', 'declared', against);
      return;
    case 'accepted':
      if (reading.fast) say(sink, reading, 'clock_suspect', 'fast_clock', against);
      else if (cause !== null) say(sink, reading, 'carried', 'declared', against);
      break;
    case 'rollover':
      say(sink, reading, 'rollover', 'by_value', against);
      break;
    case 'reset':
      say(sink, reading, 'reset', cause === 'counter_reset' ? 'declared' : 'by_value', against);
      break;
  }
  advance(state, reading, found, cause, rules, sink);
}

/**
 * Judges against the value held pending first, since it is the nearer one; when it does not fit
 * that, the pending value was wrong and the last accepted one decides.
 */
function weigh(
  state: State,
  reading: Placed,
  rules: FoldRules,
): { found: Judgement | null; cause: StreamCause | null } {
  const elapsedMs = reading.atMs - state.atMs;
  const direct = { raw: state.raw, ticks: 0 };
  const { pending } = state;
  const standing = pending ?? direct;
  const near = judge(standing, reading.raw, elapsedMs, state.creditMs, reading.cause, rules);
  const { cause } = reading;
  if (pending === null || (near !== null && near.step !== 'jitter')) return { found: near, cause };
  const lineCause = joinCauses(pending.cause, cause);
  const far = judge(direct, reading.raw, elapsedMs, state.creditMs, lineCause, rules);
  if (near !== null && (far === null || far.step === 'jitter')) return { found: near, cause };
  return { found: far, cause: lineCause };
}

/** Counts a rise, a rollover or a reset, and moves on to the reading. */
function advance(
  state: State,
  reading: Placed,
  found: Judgement,
  cause: StreamCause | null,
  rules: FoldRules,
  sink: FoldSink,
): void {
  const { ticks } = found;
  const elapsedMs = reading.atMs - state.atMs;
  count(state.atMs, reading, ticks, rules, sink);
  if (found.step === 'reset' && cause !== 'counter_reset') {
    const { ordinal, seq, atMs: resetAtMs, raw: resetRaw } = reading;
    const { raw, atMs, creditMs } = state;
    const against = state.pending?.raw ?? raw;
    const position = { ordinal, seq, resetAtMs, resetRaw, against };
    state.beforeReset = { ...position, raw, atMs, creditMs, ticks, goneOn: 0 };
  } else if (state.beforeReset !== null) {
    const goneOn = state.beforeReset.goneOn + 1;
    const since = state.beforeReset.ticks + ticks;
    const isBorneOut = goneOn >= furtherReadings || cause === 'counter_reset';
    state.beforeReset = isBorneOut ? null : { ...state.beforeReset, ticks: since, goneOn };
  }
  state.creditMs = creditAfter(state.creditMs, ticks, elapsedMs, rules);
  state.base = 'timed';
  state.raw = reading.raw;
  state.atMs = reading.atMs;
  state.pending = null;
}

function creditAfter(creditMs: number, ticks: number, elapsedMs: number, rules: FoldRules): number {
  const leftMs = creditMs - (ticks * rules.minMsPerTick - elapsedMs);
  return Math.min(allowanceOf(rules), leftMs);
}

function count(
  fromMs: number,
  reading: Position & { readonly atMs: number },
  ticks: number,
  rules: FoldRules,
  sink: FoldSink,
): void {
  if (ticks === 0) return;
  const { ordinal, seq, atMs } = reading;
  sink.increment(fromMs, atMs, ticks * rules.grainsPerTick, ordinal, seq);
}

/**
 * A counter that reads zero while it starts up looks like a reset. When a reading right after it
 * fits the value from before, that one wins: what was counted since is part of the rise, and the
 * reset becomes a spike.
 */
function restore(
  state: State,
  reading: Placed,
  cause: StreamCause | null,
  rules: FoldRules,
  sink: FoldSink,
): boolean {
  const before = state.beforeReset;
  if (before === null || cause === 'counter_reset') return false;
  const rise = reading.raw - before.raw;
  const ticks = rise - before.ticks;
  const elapsedMs = reading.atMs - before.atMs;
  if (ticks < 0 || rise * rules.minMsPerTick - elapsedMs > before.creditMs) return false;
  dropAside(state, sink);
  const { ordinal, seq, resetAtMs, resetRaw } = before;
  const reset = { ordinal, seq, atMs: resetAtMs, raw: resetRaw };
  say(sink, reset, 'spike', 'not_borne_out', before.raw);
  if (reading.fast) say(sink, reading, 'clock_suspect', 'fast_clock', before.raw);
  else if (cause !== null) say(sink, reading, 'carried', 'declared', before.raw);
  count(before.atMs, reading, ticks, rules, sink);
  state.raw = reading.raw;
  state.creditMs = creditAfter(before.creditMs, rise, elapsedMs, rules);
  state.atMs = reading.atMs;
  state.pending = null;
  state.beforeReset = null;
  return true;
}

/** What followed did not bear out the readings set aside. */
function dropAside(state: State, sink: FoldSink): void {
  for (const each of state.aside) say(sink, each, 'spike', 'not_borne_out', state.raw);
  if (state.aside.length > 0) state.aside = [];
}

/** A person said that the rise up to this reading was use, however it looks: go on from here. */
function countAsDecided(state: State, reading: Placed, rules: FoldRules, sink: FoldSink): boolean {
  if (!decisionOn(reading, rules)?.counts || reading.raw < state.raw) return false;
  dropAside(state, sink);
  say(sink, reading, 'accepted', 'decided', state.raw);
  count(state.atMs, reading, reading.raw - state.raw, rules, sink);
  startAt(state, reading, reading.atMs, 'timed', rules);
  return true;
}

function setAside(
  state: State,
  reading: Placed,
  cause: StreamCause | null,
  rules: FoldRules,
  sink: FoldSink,
): void {
  if (countAsDecided(state, reading, rules, sink)) return;
  const { ordinal, seq, atMs, raw, fast } = reading;
  const last = state.aside.at(-1);
  let creditMs = allowanceOf(rules);
  if (last !== undefined) {
    const rise = raw - last.raw;
    const leftMs = creditAfter(last.creditMs, rise, atMs - last.atMs, rules);
    if (rise < 0 || atMs < last.atMs || leftMs < 0 || cause === 'counter_reset') {
      dropAside(state, sink);
    } else if (state.aside.length === furtherReadings) {
      rebase(state, reading, leftMs, rules, sink);
      return;
    } else {
      creditMs = leftMs;
    }
  }
  state.aside = [...state.aside, { ordinal, seq, atMs, raw, creditMs, fast }];
  say(sink, reading, 'set_aside', raw < state.raw ? 'fall' : 'too_fast', state.raw);
}

/** Two further readings went on from the first one set aside: the line goes on from there. */
function rebase(
  state: State,
  reading: Placed,
  creditMs: number,
  rules: FoldRules,
  sink: FoldSink,
): void {
  const [first, ...further] = state.aside as [AsideReading, ...AsideReading[]];
  say(sink, first, 'rebase', 'borne_out', state.raw);
  let previous = first;
  for (const each of further) {
    say(sink, each, each.fast ? 'clock_suspect' : 'accepted', 'borne_out', first.raw);
    count(previous.atMs, each, each.raw - previous.raw, rules, sink);
    previous = each;
  }
  count(previous.atMs, reading, reading.raw - previous.raw, rules, sink);
  if (reading.fast) say(sink, reading, 'clock_suspect', 'fast_clock', first.raw);
  startAt(state, reading, reading.atMs, 'timed', rules);
  state.creditMs = creditMs;
  state.aside = [];
}
