import { readFileSync } from 'node:fs';
import type { Random } from '../../src/demo/random.ts';
import { bodyExamples } from './body-examples.ts';
import { type Making, type Manner, make, type Schema, spoil } from './schema-values.ts';

export interface Parameter {
  name: string;
  in: 'path' | 'query' | 'header';
  required?: boolean;
  schema: Schema;
}

export interface Operation {
  /** `POST /v1/yards`, as the contract names it. */
  route: string;
  method: 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE';
  path: string;
  parameters: Parameter[];
  /** Media types of the body that it takes, with their schemas. */
  bodies: [type: string, schema: Schema][];
}

interface Document {
  paths: Record<string, Record<string, Record<string, unknown>>>;
  components: { schemas: Record<string, Schema> };
}

const document = JSON.parse(
  readFileSync(new URL('../../openapi/openapi.json', import.meta.url), 'utf8'),
) as Document;

/** Every operation of the contract. */
export const operations: Operation[] = Object.entries(document.paths).flatMap(([path, methods]) =>
  Object.entries(methods).map(([method, operation]) => {
    const upper = method.toUpperCase() as Operation['method'];
    const body = operation.requestBody as
      | { content: Record<string, { schema?: Schema }> }
      | undefined;
    return {
      route: `${upper} ${path}`,
      method: upper,
      path,
      parameters: (operation.parameters ?? []) as Parameter[],
      bodies: Object.entries(body?.content ?? {}).map(([type, { schema = {} }]) => [type, schema]),
    };
  }),
);

export interface Request {
  operation: Operation;
  manner: Manner;
  url: string;
  headers: Record<string, string>;
  payload: string | undefined;
}

/** What has been seen in answers, to be named again: the newest of each kind. */
export class Seen {
  readonly #byName = new Map<string, string[]>();
  readonly #kept = new Map<string, string[]>();
  readonly #random: Random;

  constructor(random: Random) {
    this.#random = random;
  }

  /** Something that stays among what is named, however much comes after it. */
  keep(name: string, value: string): void {
    this.#kept.set(name, [...(this.#kept.get(name) ?? []), value]);
  }

  add(name: string, value: string): void {
    const list = this.#byName.get(name) ?? [];
    list.push(value);
    if (list.length > 40) list.splice(this.#random.int(0, 38), 1);
    this.#byName.set(name, list);
  }

  of(name: string): string | undefined {
    const kept = this.#kept.get(name);
    if (kept && this.#random.chance(0.6)) return this.#random.pick(kept);
    const list = this.#byName.get(name) ?? kept;
    return list && this.#random.pick(list);
  }

  /** Takes every id out of an answer. */
  learn(body: unknown, depth = 0): void {
    if (body === null || typeof body !== 'object' || depth > 5) return;
    for (const [name, value] of Object.entries(body).slice(0, 30)) {
      if (typeof value === 'string' && /Id$|^(task|counter|next)$/.test(name))
        this.add(name, value);
      else this.learn(value, depth + 1);
    }
  }
}

/** A header can hold no more than visible characters of Latin-1. */
const headerText = (value: unknown) =>
  asText(value)
    .replace(/[^\x20-\x7e\xa0-\xff]/g, '?')
    .trim()
    .slice(0, 2_000);

const refer = (ref: string): Schema =>
  document.components.schemas[ref.split('/').at(-1) as string] as Schema;

function bodyOf(operation: Operation, making: Making): { type: string; payload: string } {
  const { random, manner } = making;
  const [type, schema] = random.pick(operation.bodies);
  const example = bodyExamples[operation.route];
  const byExample = example && random.chance(manner === 'edge' ? 0.2 : 0.7);
  let value = byExample ? example(making) : make(schema, '', making);
  if (manner === 'wrong') value = spoil(value, random);
  let payload = typeof value === 'string' && !type.includes('json') ? value : JSON.stringify(value);
  if (manner === 'wrong' && random.chance(0.1)) {
    payload = random.pick(['', '{', 'null', '[]', payload.slice(0, -1), `${payload}}`, '\u0000']);
  }
  const odd = manner === 'wrong' && random.chance(0.05);
  return { type: odd ? random.pick(['text/plain', 'application/xml', 'x', '']) : type, payload };
}

/** One request of an operation, by its part of the contract. */
export function makeRequest(operation: Operation, manner: Manner, seen: Seen, random: Random) {
  const known = (name: string) => {
    if (name === 'taskKey') return seen.of('task');
    if (name === 'cursor') return random.chance(0.5) ? seen.of('next') : undefined;
    if (name === 'homeYardId' || name === 'presentYardId') return seen.of('yardId');
    if (name === 'unitIds') return seen.of('unitId');
    if (name === 'timeZone') return random.pick(['UTC', 'America/Chicago', 'Asia/Kathmandu']);
    if (name === 'meter') return random.pick(['pto_hours', 'lift_cycles', 'engine_hours']);
    return seen.of(name);
  };
  const making: Making = { random, manner, refer, known };
  let url = operation.path;
  const query = new URLSearchParams();
  const headers: Record<string, string> = {};
  for (const { name, in: place, required, schema } of operation.parameters) {
    if (!required && place !== 'path' && !random.chance(name === 'if-match' ? 0.9 : 0.3)) continue;
    let value = make(schema, name, making);
    if (manner === 'wrong' && random.chance(0.3)) value = spoil(value, random);
    if (place === 'path') url = url.replace(`{${name}}`, encodeText(value));
    else if (place === 'query') query.append(name, wellFormed(value));
    else headers[name] = headerText(value);
  }
  if (headers['if-match'] !== undefined && random.chance(0.8)) {
    headers['if-match'] = seen.of(`etag ${url}`) ?? '*';
  }
  if (query.size > 0) url += `?${query}`;
  if (operation.bodies.length === 0) return { operation, manner, url, headers, payload: undefined };
  const { type, payload } = bodyOf(operation, making);
  headers['content-type'] = type;
  return { operation, manner, url, headers, payload };
}

/** As text that can be percent-encoded: half a surrogate pair cannot. */
const wellFormed = (value: unknown): string => asText(value).toWellFormed();
const asText = (value: unknown): string =>
  typeof value === 'object' ? JSON.stringify(value) : String(value);
const encodeText = (value: unknown): string =>
  encodeURIComponent(wellFormed(value).slice(0, 300)) || 'x';
