/**
 * Brings the company in over the API: yards, patterns, units, assets, gateways, last-done
 * values.
 */
import { instantText } from '../domain/instant.ts';
import { type ApiClient, inParallel } from './api-client.ts';
import {
  type DemoCounter,
  type DemoUnit,
  type PatternKey,
  patterns,
  serialOf,
  yards,
} from './company.ts';
import type { HistoryWindow } from './moments.ts';
import type { DoneTask, Shop } from './shop.ts';

/** A gateway's identity at the service. */
export interface GatewayLogin {
  readonly gatewayId: string;
  readonly key: string;
}

/** Ids that the service gave. */
export interface Directory {
  readonly yards: Map<string, string>;
  readonly units: Map<string, string>;
  /** By serial. */
  readonly assets: Map<string, string>;
  /** By unit number: the gateway that is on it now. */
  readonly gateways: Map<string, GatewayLogin>;
  /** Every gateway that ever was, with its unit. */
  readonly everyGateway: { readonly unit: string; readonly gatewayId: string }[];
}

const atOnce = 6;
const dayMs = 86_400_000;
/** Assets were on their units long before anything was counted. */
const assetsSinceDays = 500;

export function idOf<T>(map: ReadonlyMap<string, T>, name: string): T {
  const id = map.get(name);
  if (id === undefined) throw new RangeError(`nothing is known as ${name}`);
  return id;
}

export function declarations(counters: readonly DemoCounter[], controller: string | null) {
  return counters.map(({ counter, meter, resolution, widthBits, scope }) => ({
    counter,
    meter,
    resolution,
    widthBits,
    scope,
    ...(scope === 'controller' && controller !== null ? { controller } : {}),
  }));
}

/** Adds a gateway, puts it on a unit from an instant, and declares its counters. */
export async function addGateway(
  api: ApiClient,
  key: string,
  directory: Directory,
  unit: DemoUnit,
  install: { serial: string; fromMs: number; toMs: number | null },
): Promise<void> {
  const { serial, fromMs, toMs } = install;
  const login = await api.post<GatewayLogin>('/v1/gateways', key, { serial });
  await api.post('/v1/installs', key, {
    unitId: idOf(directory.units, unit.number),
    gatewayId: login.gatewayId,
    from: instantText(fromMs),
    ...(toMs === null ? {} : { to: instantText(toMs) }),
  });
  const counters = declarations(unit.counters, unit.controller);
  await api.post('/v1/gateways/me/counters', login.key, { counters });
  directory.gateways.set(unit.number, login);
  directory.everyGateway.push({ unit: unit.number, gatewayId: login.gatewayId });
}

async function addYardsAndPatterns(api: ApiClient, key: string, firstDay: string) {
  const yardIds = new Map<string, string>();
  for (const { key: name, name: shown, timeZone } of yards) {
    const made = await api.post<{ yardId: string }>('/v1/yards', key, { name: shown, timeZone });
    yardIds.set(name, made.yardId);
  }
  const patternIds = new Map<string, string>();
  for (const name of Object.keys(patterns) as PatternKey[]) {
    const document = patterns[name];
    const made = await api.post<{ patternId: string }>('/v1/patterns', key, { document });
    patternIds.set(name, made.patternId);
  }
  await api.post('/v1/severities', key, {
    kind: 'salt',
    yardId: idOf(yardIds, 'ridge'),
    fromDay: firstDay,
    season: { from: '11-15', to: '04-01' },
  });
  await api.post('/v1/severities', key, {
    kind: 'dust',
    yardId: idOf(yardIds, 'mesa'),
    fromDay: firstDay,
  });
  return { yardIds, patternIds };
}

/**
 * `gatewayLeavesMs`: units whose first gateway is to be exchanged at an instant agreed
 * beforehand.
 */
export async function settleIn(
  api: ApiClient,
  key: string,
  units: readonly DemoUnit[],
  window: HistoryWindow,
  shop: Shop,
  gatewayLeavesMs: ReadonlyMap<string, number>,
): Promise<Directory> {
  const { yardIds, patternIds } = await addYardsAndPatterns(api, key, window.firstDay);
  const directory: Directory = {
    yards: yardIds,
    units: new Map(),
    assets: new Map(),
    gateways: new Map(),
    everyGateway: [],
  };
  await inParallel(units, atOnce, async (unit) => {
    const { number, yard } = unit;
    const homeYardId = idOf(yardIds, yard.key);
    const { unitId } = await api.post<{ unitId: string }>('/v1/units', key, { number, homeYardId });
    directory.units.set(number, unitId);
    const from = instantText(window.startMs - assetsSinceDays * dayMs);
    for (const kind of ['chassis', 'lift'] as const) {
      const serial = serialOf(number, kind);
      const pattern = kind === 'lift' ? { patternId: idOf(patternIds, unit.pattern) } : {};
      const made = await api.post<{ assetId: string }>('/v1/assets', key, {
        kind,
        serial,
        ...pattern,
      });
      directory.assets.set(serial, made.assetId);
      await api.post('/v1/installs', key, { unitId, assetId: made.assetId, from });
    }
    const toMs = gatewayLeavesMs.get(number) ?? null;
    const serial = `GW-${number}`;
    await addGateway(api, key, directory, unit, { serial, fromMs: window.startMs, toMs });
    for (const done of shop.takeOver(unit, serialOf(number, 'lift'))) {
      await tellDone(api, key, unitId, done);
    }
  });
  return directory;
}

export async function tellDone(
  api: ApiClient,
  key: string,
  unitId: string,
  { task, atMs, estimated }: DoneTask,
): Promise<void> {
  const body = { at: instantText(atMs), estimated };
  // Told twice, it would be the same work at the same time: no need of an Idempotency-Key.
  await api.call('POST', `/v1/units/${unitId}/tasks/${task}/done`, { key, body });
}
