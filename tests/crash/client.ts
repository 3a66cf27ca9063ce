import { setTimeout as sleep } from 'node:timers/promises';
import type { Subject } from './subject.ts';

export interface Call {
  key: string;
  body?: unknown;
  idempotencyKey?: string;
  headers?: Record<string, string>;
  /** Gives up waiting for the answer after so long, as a device whose signal is lost. */
  loseAfterMs?: number;
}

export interface Answer<T> {
  status: number;
  body: T;
  replayed: boolean;
}

const answerWithinMs = 45_000;
const triesMax = 400;

/** The request was sent, or not, and nothing is known of what became of it. */
export class NoAnswer extends Error {
  override name = 'NoAnswer';
}

/** A client of the API that outlives the service. */
export class Client {
  readonly subject: Subject;
  /** Answers that the service should never give: 500, or none at all while it lives. */
  readonly faults: string[] = [];
  /** How many answers came, by status. */
  readonly statuses = new Map<number, number>();

  constructor(subject: Subject) {
    this.subject = subject;
  }

  /** One try. @throws NoAnswer */
  async once<T>(method: 'GET' | 'POST', path: string, call: Call): Promise<Answer<T>> {
    const url = await this.subject.url();
    const { key, body, idempotencyKey, headers, loseAfterMs } = call;
    try {
      const response = await fetch(`${url}${path}`, {
        method,
        signal: AbortSignal.timeout(loseAfterMs ?? answerWithinMs),
        headers: {
          authorization: `Bearer ${key}`,
          ...(body === undefined ? {} : { 'content-type': 'application/json' }),
          ...(idempotencyKey === undefined ? {} : { 'idempotency-key': `"${idempotencyKey}"` }),
          ...headers,
        },
        ...(body === undefined ? {} : { body: JSON.stringify(body) }),
      });
      const answer = {
        status: response.status,
        body: (await response.json()) as T,
        replayed: response.headers.get('idempotency-replayed') === 'true',
      };
      this.statuses.set(answer.status, (this.statuses.get(answer.status) ?? 0) + 1);
      if (answer.status === 500) {
        this.faults.push(`${method} ${path}: ${JSON.stringify(answer.body)}`);
      }
      return answer;
    } catch (error) {
      if (error instanceof Error && error.name === 'TimeoutError' && loseAfterMs === undefined) {
        this.faults.push(`${method} ${path} was not answered within ${answerWithinMs} ms`);
      }
      throw new NoAnswer(`${method} ${path}`, { cause: error });
    }
  }

  /** Tries until it is answered with something other than "not now". */
  async call<T>(method: 'GET' | 'POST', path: string, call: Call): Promise<Answer<T>> {
    let last = 'nothing';
    for (let tries = 0; tries < triesMax; tries += 1) {
      const answer = await this.once<T & { code?: string }>(method, path, call).catch((error) => {
        if (!(error instanceof NoAnswer)) throw error;
        return null;
      });
      if (answer && answer.status < 300) return answer;
      last = answer ? JSON.stringify(answer.body) : 'no answer';
      const later =
        answer === null || answer.status >= 500 || answer.body.code === 'request_in_flight';
      if (!later) break;
      await sleep(answer === null ? 20 : 100);
    }
    throw new Error(`${method} ${path}: ${last}`);
  }

  async get<T>(path: string, key: string): Promise<T> {
    return (await this.call<T>('GET', path, { key })).body;
  }
}
