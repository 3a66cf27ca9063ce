import type pg from 'pg';
import type { Clock } from '../clock.ts';
import {
  Allowance,
  type LimitClass,
  limitClassOf,
  type RequestLimits,
} from '../domain/access/allowance.ts';
import type { Role } from '../domain/access/role.ts';
import type { Log } from '../log.ts';
import { withFleet } from '../store/pool.ts';
import { lendRequests } from '../store/request-use.ts';
import { within } from '../within.ts';

/** Keys that are remembered; one that is forgotten begins its window anew in this process. */
const keysMost = 50_000;
/** A limit is no reason to keep anybody waiting. */
const askMostMs = 500;
/** After the store did not answer, nobody asks it for so long. */
const restMs = 5_000;

export interface RequestVerdict {
  allowed: boolean;
  policy: LimitClass;
  most: number;
  /** Requests left in the window, and seconds until its end. */
  left: number;
  seconds: number;
}

interface Known {
  allowance: Allowance;
  asking: Promise<void> | null;
}

export interface LimiterDeps {
  readonly pool: pg.Pool;
  readonly clock: Clock;
  readonly limits: RequestLimits;
  readonly log: Log;
  /** How long the store may take to answer; default 500 ms. */
  readonly askMostMs?: number;
}

/** Limits the requests of each key, together with the other processes on the same database. */
export class RequestLimiter {
  readonly #deps: LimiterDeps;
  readonly #known = new Map<string, Known>();
  #askAgainMs = 0;
  #away = false;

  constructor(deps: LimiterDeps) {
    this.#deps = deps;
  }

  /** Counts a request; null when keys of this role have no limit. */
  async count(caller: {
    fleetId: number;
    keyId: string;
    role: Role;
  }): Promise<RequestVerdict | null> {
    const policy = limitClassOf(caller.role);
    const most = this.#deps.limits[policy];
    if (most === 0) return null;
    const known = this.#knownOf(caller.keyId, most);
    const { allowance } = known;
    let verdict = allowance.take(this.#deps.clock.nowMs());
    while (verdict === 'ask') {
      if (this.#deps.clock.nowMs() < this.#askAgainMs) {
        allowance.unasked();
        verdict = 'allowed';
        break;
      }
      // Requests that come meanwhile wait for the same answer.
      known.asking ??= this.#ask(caller, allowance).finally(() => {
        known.asking = null;
      });
      await known.asking;
      verdict = allowance.take(this.#deps.clock.nowMs());
    }
    const { requests: left, seconds } = allowance.left(this.#deps.clock.nowMs());
    return { allowed: verdict === 'allowed', policy, most, left, seconds };
  }

  #knownOf(keyId: string, most: number): Known {
    const there = this.#known.get(keyId);
    if (there) return there;
    if (this.#known.size >= keysMost) this.#known.delete(this.#known.keys().next().value as string);
    const known = { allowance: new Allowance(most, keyId), asking: null };
    this.#known.set(keyId, known);
    return known;
  }

  async #ask(caller: { fleetId: number; keyId: string }, allowance: Allowance): Promise<void> {
    const { fleetId, keyId } = caller;
    const question = allowance.question();
    const patienceMs = this.#deps.askMostMs ?? askMostMs;
    const answer = await within(
      patienceMs,
      withFleet(this.#deps.pool, [fleetId], (tx) => lendRequests(tx, fleetId, keyId, question)),
      null,
    ).catch((error: Error) => error.message);
    if (answer !== null && typeof answer !== 'string') {
      this.#away = false;
      allowance.answer(question.window, answer.lent, answer.usedInAll);
      return;
    }
    this.#askAgainMs = this.#deps.clock.nowMs() + restMs;
    if (this.#away) return;
    this.#away = true;
    const reason = answer ?? `no answer within ${patienceMs} ms`;
    this.#deps.log.warn({ reason }, 'requests are let through without a shared limit for now');
  }
}
