import { createRandom } from '../../src/demo/random.ts';
import { type Role, roles } from '../../src/domain/access/role.ts';
import type { TestApp } from '../helpers/app.ts';
import { contractFaults } from '../helpers/contract.ts';
import { FleetBuilder, greaseTask, liftCounter, ptoCounter, startMs } from '../helpers/fleet.ts';
import { makeRequest, type Operation, operations, type Request, Seen } from './requests.ts';
import type { Manner } from './schema-values.ts';

export interface ContractReport {
  requests: number;
  perSecond: number;
  /** Answers by status. */
  statuses: Record<string, number>;
  /** Operations that never succeeded: of these only refusals were tried. */
  neverDone: string[];
  failures: string[];
}

const atOnce = 4;
const settleEvery = 2_000;
const failuresMost = 20;
/** Heavy ones are tried more rarely. */
const weight = ({ route }: Operation) => (/export|imports$/.test(route) ? 1 : 10);
const manners: readonly Manner[] = ['valid', 'valid', 'valid', 'edge', 'wrong'];

/** Keys of every role, and the ids of those keys and their gateway: they must live on. */
async function keysOfRoles(app: TestApp, fleet: FleetBuilder) {
  const keys = new Map<Role | 'none' | 'unknown', string | null>([
    ['none', null],
    ['unknown', 'lw_1_00000000_nothing'],
  ]);
  const gateway = await fleet.gateway(ptoCounter, liftCounter);
  const spared = [gateway.id];
  keys.set('gateway', gateway.client.key);
  for (const role of roles) {
    if (role === 'gateway') continue;
    const { key, keyId } = await app.admin.made('/v1/keys', { role, name: `fuzz ${role}` });
    keys.set(role, key);
    spared.push(keyId);
  }
  return { keys, spared };
}

async function send(app: TestApp, request: Request, key: string | null, seen: Seen) {
  const { operation, url, headers, payload } = request;
  const response = await app.app.inject({
    method: operation.method,
    url,
    headers: { ...headers, ...(key === null ? {} : { authorization: `Bearer ${key}` }) },
    ...(payload === undefined ? {} : { payload }),
  });
  const type = String(response.headers['content-type'] ?? '');
  const text = response.body;
  const status = response.statusCode;
  let body: unknown = text === '' ? null : text;
  if (/\bjson\b/.test(type) && text !== '') body = JSON.parse(text);
  if (status < 300) seen.learn(body);
  const { etag } = response.headers;
  if (typeof etag === 'string') seen.add(`etag ${url.split('?')[0]}`, etag);
  const faults = contractFaults(operation.method, url, { status, type, body });
  if (status >= 500) faults.unshift(`answered ${status}`);
  return { status, faults, text };
}

/**
 * Sends so many requests made from the contract, with keys of all roles and without, and has the
 * workers do what follows from them. Every answer is held to the contract, and none may be a 5xx.
 */
export async function fuzzContract(app: TestApp, cases: number, seed: string) {
  const random = createRandom(seed);
  const fleet = new FleetBuilder(app);
  const { keys, spared } = await keysOfRoles(app, fleet);
  const { rows } = await app.db.owner.query('select key_id from liftwright.api_key');
  for (const row of rows) spared.push(row.key_id);
  const seen = new Seen(random);
  const [yardId, patternId] = [await fleet.yard(), await fleet.pattern(greaseTask)];
  for (let i = 0; i < 3; i += 1) {
    const { unitId, liftId, gateway } = await fleet.truck({ yardId, patternId });
    seen.keep('unitId', unitId);
    seen.keep('assetId', liftId);
    seen.keep('gatewayId', gateway.id);
  }
  // The one that posts, and so has readings that wait for a word.
  seen.keep('gatewayId', spared[0] as string);
  seen.keep('yardId', yardId);
  seen.keep('patternId', patternId);
  seen.keep('task', 'grease');
  await app.settle();
  const hat = operations.flatMap((each) => Array<Operation>(weight(each)).fill(each));
  const done = new Set<string>();
  const report: ContractReport = {
    requests: 0,
    perSecond: 0,
    statuses: {},
    neverDone: [],
    failures: [],
  };
  // Mostly roles that may do much, so that much is done.
  const callers = [...keys.keys(), 'admin', 'admin', 'lead', 'lead', 'integrator'] as const;
  const one = async () => {
    const operation = random.pick(hat);
    const caller =
      /readings$|frames$/.test(operation.path) && random.chance(0.8)
        ? 'gateway'
        : random.pick(callers);
    const request = makeRequest(operation, random.pick(manners), seen, random);
    const ending = /revoke|keys$/.test(operation.path);
    if (ending && spared.some((id) => request.url.includes(id))) return;
    const answer = await send(app, request, keys.get(caller) as string | null, seen);
    report.requests += 1;
    report.statuses[answer.status] = (report.statuses[answer.status] ?? 0) + 1;
    if (answer.status < 300) done.add(operation.route);
    if (answer.faults.length === 0 || report.failures.length >= failuresMost) return;
    const { url, headers, payload } = request;
    report.failures.push(
      [
        `${operation.method} ${url} as ${caller} ${JSON.stringify(headers)}`,
        `  ${payload?.slice(0, 1_000)}`,
        `  ${answer.faults.join('; ')}: ${answer.text.slice(0, 300)}`,
        `  ${answer.status >= 500 ? app.logged.at(-1)?.slice(0, 1_500) : ''}`,
      ].join('\n'),
    );
  };
  const begun = performance.now();
  for (let sent = 0; sent < cases; sent += settleEvery) {
    let left = Math.min(settleEvery, cases - sent);
    const worker = async () => {
      while (left > 0) {
        left -= 1;
        await one();
      }
    };
    await Promise.all(Array.from({ length: atOnce }, worker));
    app.clock.set(app.clock.nowMs() + 60_000);
    await app.settle();
  }
  report.perSecond = Math.round((report.requests * 1_000) / (performance.now() - begun));
  report.neverDone = operations.map(({ route }) => route).filter((route) => !done.has(route));
  app.clock.set(startMs);
  return report;
}
