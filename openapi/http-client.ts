/**
 * What the generated client stands on: how a call is sent, tried again and answered. Written by
 * hand and free of the service, so that both files can be taken into another program.
 */

/** One call, ready to be sent. */
export interface Call {
  method: string;
  /** With its query. */
  path: string;
  headers: Record<string, string>;
  body: string | null;
}

export interface Answer {
  status: number;
  text: string;
  /** Seconds from `Retry-After`, else 0. */
  retryAfterS: number;
  /** From `ETag`. */
  etag?: string | null;
}

/** Sends a call; rejects when no answer came. */
export type Send = (call: Call) => Promise<Answer>;

/** What a caller may say of one call besides its parameters. */
export interface RequestParams {
  headers?: Record<string, string>;
  /** Another key than the client's. */
  key?: string;
  /** For PATCH: the ETag of what is to be changed, from `onEtag` of the GET before. */
  ifMatch?: string;
  /** Told the ETag of what was answered. */
  onEtag?: (etag: string) => void;
}

interface FullRequest extends RequestParams {
  path: string;
  method: string;
  query?: object | undefined;
  body?: unknown;
  secure?: boolean;
  type?: string;
  format?: string;
}

/** An answer that is no success; `code` is from the catalogue at `/docs/problems`. */
export class CallError extends Error {
  override readonly name = 'CallError';
  readonly status: number;
  readonly code: string;
  /** Of `precondition_failed`: the ETag that the thing has now. */
  readonly etag: string | null;

  constructor(call: Call, answer: Answer | null) {
    const { code, detail } = problemOf(answer);
    const status = answer?.status ?? 0;
    super(`${call.method} ${call.path} was answered ${status} ${code}: ${detail}`);
    this.status = status;
    this.code = code;
    this.etag = answer?.etag ?? null;
  }
}

function problemOf(answer: Answer | null): { code: string; detail: string } {
  try {
    const { code, detail, errors } = JSON.parse(answer?.text ?? '');
    const faults = errors === undefined ? '' : ` ${JSON.stringify(errors).slice(0, 500)}`;
    return { code: String(code), detail: `${detail}${faults}` };
  } catch {
    return { code: 'no_answer', detail: answer?.text.slice(0, 200) ?? '' };
  }
}

const triesMax = 6;
const firstWaitMs = 100;
const waitMaxMs = 5_000;
const answerLimitMs = 60_000;

/** Sends with the platform's `fetch`. */
export function fetchFrom(baseUrl: string): Send {
  const base = baseUrl.replace(/\/$/, '');
  return async ({ method, path, headers, body }) => {
    const signal = AbortSignal.timeout(answerLimitMs);
    const answer = await fetch(`${base}${path}`, { method, headers, body, signal });
    return {
      status: answer.status,
      text: await answer.text(),
      retryAfterS: Number(answer.headers.get('retry-after') ?? 0) || 0,
      etag: answer.headers.get('etag'),
    };
  };
}

function queryText(query: object | undefined): string {
  const given = new URLSearchParams();
  for (const [name, value] of Object.entries(query ?? {})) {
    if (value !== undefined) given.append(name, String(value));
  }
  return given.size === 0 ? '' : `?${given}`;
}

/**
 * Sends calls with a key. Every call that is not a GET gets an Idempotency-Key, so that one whose
 * answer was lost, or that was refused for the moment (429, 503), can be tried again and does
 * nothing twice.
 */
export class HttpClient<Key extends string = string> {
  readonly #send: Send;
  readonly #key: Key | undefined;

  constructor(send: Send, key?: Key) {
    this.#send = send;
    this.#key = key;
  }

  /** @throws CallError when the service refuses, or does not answer */
  async request<T, _Refusal>(request: FullRequest): Promise<T> {
    const call = this.#callOf(request);
    for (let attempt = 1; ; attempt++) {
      const answer = await this.#send(call).catch(() => null);
      if (answer !== null && answer.status < 300) {
        if (answer.etag) request.onEtag?.(answer.etag);
        return (answer.text === '' ? undefined : JSON.parse(answer.text)) as T;
      }
      const passing = answer === null || answer.status === 429 || answer.status === 503;
      if (!passing || attempt >= triesMax) throw new CallError(call, answer);
      const askedMs = (answer?.retryAfterS ?? 0) * 1000;
      // At least as long as asked, unless that is longer than a program wants to hang.
      const waitMs = Math.min(waitMaxMs, Math.max(askedMs, firstWaitMs * 2 ** (attempt - 1)));
      await new Promise((settle) => setTimeout(settle, waitMs));
    }
  }

  #callOf({ path, method, query, body, secure, key, ifMatch, headers }: FullRequest): Call {
    const login = secure ? (key ?? this.#key) : undefined;
    return {
      method,
      path: path + queryText(query),
      headers: {
        ...(login === undefined ? {} : { authorization: `Bearer ${login}` }),
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
        ...(method !== 'GET' ? { 'idempotency-key': globalThis.crypto.randomUUID() } : {}),
        ...(ifMatch === undefined ? {} : { 'if-match': ifMatch }),
        ...headers,
      },
      body: body === undefined ? null : JSON.stringify(body),
    };
  }
}
