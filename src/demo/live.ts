/** Goes on after the history: some units are at work, and their gateways post every few seconds. */
import { setTimeout as sleep } from 'node:timers/promises';
import type { PostedHistory } from './post-history.ts';
import { createRandom } from './random.ts';
import type { Sender } from './send.ts';
import type { UnitHistory } from './unit-history.ts';

export interface LiveOptions {
  readonly posted: PostedHistory;
  readonly seed: string;
  readonly nowMs: () => number;
  readonly signal: AbortSignal;
  /** Called after each post. */
  readonly onPost: (unit: string, words: string) => void;
}

const unitsAtWork = 6;
const betweenPostsMs = 5_000;
/** A unit is at work for so long before another takes its turn. */
const turnMs = 15 * 60_000;

/** A unit at work: the PTO is on, and the lift moves about once in the time between its posts. */
interface AtWork {
  readonly history: UnitHistory;
  readonly sender: Sender;
  readonly key: string;
  readonly sinceMs: number;
  lastMs: number;
  lastCycleMs: number;
  ptoMs: number;
}

/** Posts until the signal; a lost post is sent with the next one, as a gateway would. */
export async function postLive(options: LiveOptions): Promise<void> {
  const { posted, nowMs, signal, onPost } = options;
  const random = createRandom(`${options.seed}/live`);
  const atWork: AtWork[] = [];
  const mayWork = posted.units.filter(({ silent }) => !silent);
  for (let turn = 0; !signal.aborted; turn += 1) {
    while (atWork.length < Math.min(unitsAtWork, mayWork.length)) {
      const idle = mayWork.filter((unit) => !atWork.some(({ history }) => history === unit));
      atWork.push(begin(posted, random.pick(idle), nowMs()));
    }
    const each = atWork[turn % atWork.length]!;
    const words = work(each, nowMs());
    try {
      await each.sender.plain(each.history.device, each.key);
      onPost(each.history.unit.number, words);
    } catch (error) {
      if (signal.aborted) return;
      onPost(each.history.unit.number, `not posted, kept: ${String(error)}`);
    }
    if (nowMs() - each.sinceMs > turnMs) atWork.splice(atWork.indexOf(each), 1);
    await sleep(betweenPostsMs, undefined, { signal }).catch(() => undefined);
  }
}

function begin(posted: PostedHistory, history: UnitHistory, nowMs: number): AtWork {
  const { number } = history.unit;
  for (const { counter } of history.unit.counters) history.recordNow(counter, nowMs, 0);
  return {
    history,
    sender: posted.senders.get(number)!,
    key: posted.directory.gateways.get(number)!.key,
    sinceMs: nowMs,
    lastMs: nowMs,
    lastCycleMs: nowMs,
    ptoMs: 0,
  };
}

/** What happened since the unit's last post, recorded now. */
function work(each: AtWork, nowMs: number): string {
  const { history } = each;
  each.ptoMs += nowMs - each.lastMs;
  each.lastMs = nowMs;
  const parts: string[] = [];
  for (const { counter, counts, grainsPerTick } of history.unit.counters) {
    if (counts === 'pto') {
      const ticks = Math.floor(each.ptoMs / (grainsPerTick * 1000));
      each.ptoMs -= ticks * grainsPerTick * 1000;
      if (ticks > 0) parts.push(`${counter} +${ticks}`);
      history.recordNow(counter, nowMs, ticks);
    } else if (counts === 'lift_cycles' && nowMs - each.lastCycleMs >= 20_000) {
      each.lastCycleMs = nowMs;
      history.recordNow(counter, nowMs, 1);
      parts.push(`${counter} +1`);
    }
  }
  return parts.length > 0 ? parts.join(', ') : 'nothing new';
}
