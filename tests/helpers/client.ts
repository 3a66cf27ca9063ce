import type { FastifyInstance } from 'fastify';
import { expect } from 'vitest';
import { contractFaults } from './contract.ts';

/** A JSON body as it came; tests say what they expect of it. */
// biome-ignore lint/suspicious/noExplicitAny: a test reads whatever was answered
export type Json = any;

export interface Answer {
  status: number;
  body: Json;
  /** `code` of a problem, else undefined. */
  code: string | undefined;
  headers: Record<string, string>;
}

export interface Call {
  method?: 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE' | 'HEAD' | 'OPTIONS';
  url: string;
  body?: unknown;
  headers?: Record<string, string>;
  /** Answers that the contract does not speak of: pages for people. */
  undocumented?: true;
}

/** Calls the API with one key. Every answer is held to the committed contract. */
export class Client {
  readonly #app: FastifyInstance;
  readonly key: string | null;
  readonly #logged: readonly string[];

  constructor(app: FastifyInstance, key: string | null, logged: readonly string[] = []) {
    this.#app = app;
    this.key = key;
    this.#logged = logged;
  }

  async call({ method = 'GET', url, body, headers, undocumented }: Call): Promise<Answer> {
    const given = typeof body === 'string' || Buffer.isBuffer(body);
    const response = await this.#app.inject({
      method,
      url,
      headers: {
        ...(this.key === null ? {} : { authorization: `Bearer ${this.key}` }),
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
        ...headers,
      },
      ...(body === undefined ? {} : { payload: given ? body : JSON.stringify(body) }),
    });
    const type = String(response.headers['content-type'] ?? '');
    const text = response.body;
    const parsed = text === '' ? null : /\bjson\b/.test(type) ? JSON.parse(text) : text;
    const status = response.statusCode;
    if (!undocumented && method !== 'HEAD') {
      const faults = contractFaults(method, url, { status, type, body: parsed });
      expect(faults, `${method} ${url} answered ${status} ${text.slice(0, 500)}`).toEqual([]);
    }
    return {
      status,
      body: parsed,
      code: status >= 400 ? parsed?.code : undefined,
      headers: response.headers as Record<string, string>,
    };
  }

  get(url: string, headers: Record<string, string> = {}): Promise<Answer> {
    return this.call({ url, headers });
  }

  post(url: string, body: unknown, headers: Record<string, string> = {}): Promise<Answer> {
    return this.call({ method: 'POST', url, body, headers });
  }

  /** Changes what GET shows at the same place, with the ETag that it has now. */
  async patch(url: string, body: unknown, headers: Record<string, string> = {}): Promise<Answer> {
    const { etag = '*' } = (await this.get(url)).headers;
    return this.call({ method: 'PATCH', url, body, headers: { 'if-match': etag, ...headers } });
  }

  #said({ status, body }: Answer): string {
    const cause = status >= 500 ? (this.#logged.at(-1)?.slice(0, 2_000) ?? '') : '';
    return `${JSON.stringify(body)} ${cause}`;
  }

  /** The body of a GET that must succeed. */
  async read(url: string): Promise<Json> {
    const answer = await this.get(url);
    expect(answer.status, this.#said(answer)).toBe(200);
    return answer.body;
  }

  /** The body of a POST that must succeed. */
  async made(url: string, body: unknown, headers: Record<string, string> = {}): Promise<Json> {
    const answer = await this.post(url, body, headers);
    expect([200, 201], this.#said(answer)).toContain(answer.status);
    return answer.body;
  }

  /** Every item of a paged list, `limit` at a time. */
  async all(url: string, limit = 200): Promise<Json[]> {
    const items: Json[] = [];
    let cursor = '';
    for (let pages = 0; pages < 1_000; pages += 1) {
      const mark = url.includes('?') ? '&' : '?';
      const page = await this.read(`${url}${mark}limit=${limit}${cursor}`);
      items.push(...page.items);
      if (page.next === undefined) return items;
      cursor = `&cursor=${encodeURIComponent(page.next)}`;
    }
    throw new Error(`${url} has no last page`);
  }
}
