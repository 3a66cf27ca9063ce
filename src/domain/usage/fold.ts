/**
 * The fold: from the raw values of one line, in the order of their positions, to use and verdicts.
 *
 * Pure, integer, resumable at any reading. With honest clocks the result depends only on which
 * readings there are, not on how or when they came. It never counts backwards and never faster than
 * the clock.
 */
import type { FoldRules } from './fold-rules.ts';
import { allowanceOf, clockAheadMs } from './fold-rules.ts';
import type { FoldSink } from './fold-sink.ts';
import type { FoldState, Mutable } from './fold-state.ts';
import { stepReading } from './fold-step.ts';
import type { Run } from './run.ts';

/**
 * Folds the readings `from` up to `to` (indexes) of a run and returns the state after them.
 * Readings at or before the state's own position have been folded already and are passed over. The
 * state given is not changed.
 */
export function fold(
  state: FoldState,
  run: Run,
  rules: FoldRules,
  sink: FoldSink,
  from = 0,
  to = run.at.length,
): FoldState {
  let index = Math.max(from, unfoldedFrom(state, run));
  if (index >= to) return state;
  const working: Mutable<FoldState> = { ...state };
  // A pattern may allow less from some day on: no more than one of its ticks is then left over.
  working.creditMs = Math.min(working.creditMs, allowanceOf(rules));
  while (index < to) {
    index = foldPlain(working, run, rules, sink, index, to);
    if (index < to) {
      stepReading(working, run, index, rules, sink);
      index += 1;
    }
  }
  return working;
}

/**
 * Index of the run's first reading after the state's position; at or past its length when there is
 * none.
 */
function unfoldedFrom(state: FoldState, run: Run): number {
  if (run.ordinal > state.ordinal) return 0;
  if (run.ordinal < state.ordinal) return run.at.length;
  return state.seq + 1 - run.firstSeq;
}

/**
 * Takes ordinary rises as long as they last; returns the index of the first reading that needs a
 * closer look.
 */
function foldPlain(
  state: Mutable<FoldState>,
  run: Run,
  rules: FoldRules,
  sink: FoldSink,
  from: number,
  to: number,
): number {
  const isPlain =
    state.base === 'timed' &&
    state.ordinal === run.ordinal &&
    run.offsetMs <= 0 &&
    state.pending === null &&
    state.beforeReset === null &&
    state.aside.length === 0;
  if (!isPlain) return from;
  const { at, raw, ordinal, firstSeq, arrivals = null } = run;
  const { grainsPerTick, minMsPerTick } = rules;
  const allowanceMs = allowanceOf(rules);
  const latestMs = run.receivedAtMs + clockAheadMs;
  let lastRaw = state.raw;
  let lastAtMs = state.atMs;
  let creditMs = state.creditMs;
  let index = from;
  for (; index < to; index += 1) {
    const value = raw[index]!;
    const atMs = at[index]!;
    const ticks = value - lastRaw;
    if (ticks < 0 || atMs < lastAtMs) break;
    if (atMs > (arrivals === null ? latestMs : arrivals[index]! + clockAheadMs)) break;
    const leftMs = creditMs - (ticks * minMsPerTick - (atMs - lastAtMs));
    if (leftMs < 0) break;
    creditMs = Math.min(leftMs, allowanceMs);
    if (ticks > 0) {
      sink.increment(lastAtMs, atMs, ticks * grainsPerTick, ordinal, firstSeq + index);
    }
    lastRaw = value;
    lastAtMs = atMs;
  }
  if (index > from) {
    state.seq = firstSeq + index - 1;
    state.raw = lastRaw;
    state.atMs = lastAtMs;
    state.creditMs = creditMs;
  }
  return index;
}

/**
 * The use shown by readings whose time is not trusted, from the last trusted time to when the
 * latest of them arrived. Provisional: for the head of a line only, and never part of a state,
 * because the next trusted reading says better when it was. Without it a device with a dead clock
 * would count nothing.
 */
export function settle(state: FoldState, rules: FoldRules, sink: FoldSink): void {
  const { pending } = state;
  if (pending === null || pending.ticks === 0) return;
  sink.increment(
    state.atMs,
    Math.max(state.atMs, pending.receivedAtMs),
    pending.ticks * rules.grainsPerTick,
    pending.ordinal,
    pending.seq,
  );
}
