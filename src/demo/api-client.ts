/**
 * A client of the public API over kept-alive connections, like any other; nothing of the
 * service inside.
 */
import { randomUUID } from 'node:crypto';
import { Agent, request } from 'node:http';
import { setTimeout as sleep } from 'node:timers/promises';

export class ApiError extends Error {
  readonly status: number;
  readonly code: string;

  constructor(call: string, status: number, code: string, detail: string) {
    super(`${call} was answered ${status} ${code}: ${detail}`);
    this.name = 'ApiError';
    this.status = status;
    this.code = code;
  }
}

export interface CallOptions {
  readonly key: string;
  readonly body?: unknown;
  readonly headers?: Readonly<Record<string, string>>;
}

interface Answer {
  status: number;
  text: string;
  retryAfterS: number;
}

/** Calls in flight at most; the others wait for a connection. */
const socketsMax = 8;
const triesMax = 6;
const callTimeoutMs = 60_000;
const waitMaxMs = 5_000;

export class ApiClient {
  readonly url: string;
  readonly #agent = new Agent({ keepAlive: true, maxSockets: socketsMax, scheduling: 'fifo' });

  constructor(url: string) {
    this.url = url.replace(/\/$/, '');
  }

  /**
   * One call, of a kind that may be repeated; overload and a lost connection are tried again, a
   * few times.
   * @throws ApiError with the problem's code
   */
  async call<T>(method: 'GET' | 'POST', path: string, options: CallOptions): Promise<T> {
    for (let attempt = 1; ; attempt += 1) {
      const answer = await this.#once(method, path, options).catch((error: unknown) => {
        if (attempt >= triesMax) throw error;
        return null;
      });
      if (answer && answer.status < 300) return JSON.parse(answer.text) as T;
      const passing = answer === null || answer.status === 503 || answer.status === 429;
      if (!passing || attempt >= triesMax) throw problemOf(`${method} ${path}`, answer);
      const askedMs = (answer?.retryAfterS ?? 0) * 1000;
      await sleep(Math.min(waitMaxMs, Math.max(askedMs, 50 * 2 ** attempt)));
    }
  }

  get<T>(path: string, key: string): Promise<T> {
    return this.call<T>('GET', path, { key });
  }

  /** With an Idempotency-Key, so that trying again after a lost answer does nothing twice. */
  post<T>(path: string, key: string, body: unknown): Promise<T> {
    const headers = { 'idempotency-key': randomUUID() };
    return this.call<T>('POST', path, { key, body, headers });
  }

  close(): void {
    this.#agent.destroy();
  }

  #once(method: string, path: string, { key, body, headers }: CallOptions): Promise<Answer> {
    const text = body === undefined ? null : JSON.stringify(body);
    return new Promise((resolve, reject) => {
      const sent = request(
        `${this.url}${path}`,
        {
          method,
          agent: this.#agent,
          timeout: callTimeoutMs,
          headers: {
            authorization: `Bearer ${key}`,
            ...(text === null
              ? {}
              : {
                  'content-type': 'application/json',
                  'content-length': String(Buffer.byteLength(text)),
                }),
            ...headers,
          },
        },
        (answer) => {
          const chunks: Buffer[] = [];
          answer.on('data', (chunk: Buffer) => chunks.push(chunk));
          answer.on('error', reject);
          answer.on('end', () =>
            resolve({
              status: answer.statusCode ?? 0,
              text: Buffer.concat(chunks).toString('utf8'),
              retryAfterS: Number(answer.headers['retry-after'] ?? 0) || 0,
            }),
          );
        },
      );
      sent.on('timeout', () => sent.destroy(new Error(`${method} ${path} was not answered`)));
      sent.on('error', reject);
      sent.end(text ?? undefined);
    });
  }
}

function problemOf(call: string, answer: Answer | null): ApiError {
  let code = 'no_answer';
  let detail = '';
  try {
    const problem = JSON.parse(answer?.text ?? '{}') as { code?: string; detail?: string };
    code = problem.code ?? code;
    detail = problem.detail ?? '';
    const { errors } = problem as { errors?: unknown };
    if (errors !== undefined) detail += ` ${JSON.stringify(errors).slice(0, 500)}`;
  } catch {
    detail = answer?.text.slice(0, 200) ?? '';
  }
  return new ApiError(call, answer?.status ?? 0, code, detail);
}

/** Runs `each` over a list, a few at a time, in order of the list. */
export async function inParallel<T>(
  list: readonly T[],
  atOnce: number,
  each: (item: T) => Promise<void>,
): Promise<void> {
  let next = 0;
  const worker = async () => {
    while (next < list.length) {
      const item = list[next] as T;
      next += 1;
      await each(item);
    }
  };
  await Promise.all(Array.from({ length: Math.min(atOnce, list.length) }, worker));
}
