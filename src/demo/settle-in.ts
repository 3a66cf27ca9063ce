/**
 * Brings the company in over the API: yards, patterns, units, assets, gateways, last-done
 * values.
 */
import type { Liftwright } from '../../openapi/client.ts';
import { instantText } from '../domain/instant.ts';
import {
  type DemoCounter,
  type DemoUnit,
  type PatternKey,
  patterns,
  serialOf,
  yards,
} from './company.ts';
import { inParallel } from './in-parallel.ts';
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
  api: Liftwright,
  key: string,
  directory: Directory,
  unit: DemoUnit,
  install: { serial: string; fromMs: number; toMs: number | null },
): Promise<void> {
  const { serial, fromMs, toMs } = install;
  const login = await api.postGateways({ serial }, { key });
  if (!login.key) throw new Error('a key is shown in the first answer');
  const { gatewayId } = login;
  const from = instantText(fromMs);
  const to = toMs === null ? {} : { to: instantText(toMs) };
  const unitId = idOf(directory.units, unit.number);
  await api.postInstalls({ unitId, gatewayId, from, ...to }, { key });
  const counters = declarations(unit.counters, unit.controller);
  await api.postGatewayCounters('me', { counters }, { key: login.key });
  directory.gateways.set(unit.number, { gatewayId, key: login.key });
  directory.everyGateway.push({ unit: unit.number, gatewayId });
}

async function addYardsAndPatterns(api: Liftwright, key: string, firstDay: string) {
  const yardIds = new Map<string, string>();
  for (const { key: name, name: shown, timeZone } of yards) {
    const made = await api.postYards({ name: shown, timeZone }, { key });
    yardIds.set(name, made.yardId);
  }
  const patternIds = new Map<string, string>();
  for (const name of Object.keys(patterns) as PatternKey[]) {
    const document = patterns[name];
    const made = await api.postPatterns({ document }, { key });
    patternIds.set(name, made.patternId);
  }
  const season = { from: '11-15', to: '04-01' };
  const ridge = { yardId: idOf(yardIds, 'ridge'), fromDay: firstDay, season };
  await api.postSeverities({ kind: 'salt', ...ridge }, { key });
  const mesa = { yardId: idOf(yardIds, 'mesa'), fromDay: firstDay };
  await api.postSeverities({ kind: 'dust', ...mesa }, { key });
  return { yardIds, patternIds };
}

/**
 * `gatewayLeavesMs`: units whose first gateway is to be exchanged at an instant agreed
 * beforehand.
 */
export async function settleIn(
  api: Liftwright,
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
    const { unitId } = await api.postUnits({ number, homeYardId }, { key });
    directory.units.set(number, unitId);
    const from = instantText(window.startMs - assetsSinceDays * dayMs);
    for (const kind of ['chassis', 'lift'] as const) {
      const serial = serialOf(number, kind);
      const pattern = kind === 'lift' ? { patternId: idOf(patternIds, unit.pattern) } : {};
      const made = await api.postAssets({ kind, serial, ...pattern }, { key });
      directory.assets.set(serial, made.assetId);
      await api.postInstalls({ unitId, assetId: made.assetId, from }, { key });
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
  api: Liftwright,
  key: string,
  unitId: string,
  { task, atMs, estimated }: DoneTask,
): Promise<void> {
  const body = { at: instantText(atMs), estimated };
  await api.postUnitTaskDone(unitId, task, body, { key });
}
