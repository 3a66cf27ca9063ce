import { latestLocalDay } from '../domain/usage/local-day.ts';
import { shownCountersOf } from '../flows/declare-counters.ts';
import { patternOf } from '../flows/parsed-pattern.ts';
import { boundUsageRange, shownUse } from '../flows/read-usage.ts';
import { showTask } from '../flows/show-task.ts';
import type { AssetOnUnit } from '../store/asset.ts';
import * as pages from '../store/edge-pages.ts';
import * as edges from '../store/edges.ts';
import type { GatewayWithContact } from '../store/gateway.ts';
import { type HealthSummary, healthOfGateways } from '../store/gateway-watch.ts';
import type { InstallRow } from '../store/install.ts';
import type { BringInRow } from '../store/standing.ts';
import type { UnitWithYards } from '../store/unit.ts';
import type { UpkeepState } from '../store/upkeep.ts';
import type { YardRow } from '../store/yard.ts';
import { asked, cut, type PageArgs } from './connection.ts';
import type { GraphContext } from './context.ts';
import { asset, many, one, unit, yard } from './filling.ts';
import { shopLoaders, shopOfAsset, shopOfUnit } from './shop-loaders.ts';
import type { Task } from './types/nodes.ts';

const gateway = <P>(idOf: (parent: P) => string | null) =>
  one(idOf, (ids, { tx, fleetId }) => edges.gatewaysByIds(tx, fleetId, ids));

const installs = <P>(kind: 'unit' | 'asset' | 'gateway', idOf: (parent: P) => string) =>
  many<P, PageArgs>(idOf, async (ids, args, { tx, fleetId }) => {
    const { after, limit } = asked(args, ['id']);
    const found = await pages.installsOfEach(tx, fleetId, { kind, ids }, after, limit);
    return (id) => cut(found.get(id) ?? [], args, (row) => [row.installId]);
  });

const unitsOfYard = many<YardRow, PageArgs>(
  (row) => row.yardId,
  async (ids, args, { tx, fleetId, nowMs }) => {
    const { after, limit } = asked(args, ['text']);
    const found = await pages.unitsOfYards(tx, fleetId, ids, nowMs, after, limit);
    return (id) => cut(found.get(id) ?? [], args, (row) => [row.number]);
  },
);

const assetsOfUnit = many<UnitWithYards, PageArgs>(
  (row) => row.unitId,
  async (ids, args, { tx, fleetId, nowMs }) => {
    const { after, limit } = asked(args, ['id']);
    const found = await pages.assetsOfUnits(tx, fleetId, ids, nowMs, after, limit);
    return (id) => cut(found.get(id) ?? [], args, (row) => [row.assetId]);
  },
);

type TaskArgs = PageArgs & { status?: UpkeepState['status'][] | null };

/** Patterns are read once for each version in the life of a process: they never change. */
async function shown(rows: readonly pages.UnitTask[], { tx, fleetId }: GraphContext) {
  const tasks: Task[] = [];
  for (const row of rows) {
    const pattern = await patternOf(tx, fleetId, row);
    const rule = pattern?.tasks.find((each) => each.key === row.taskKey) ?? null;
    tasks.push({ ...showTask(row, rule), unitId: row.unitId });
  }
  return tasks;
}

const tasksOfUnit = many<UnitWithYards, TaskArgs>(
  (row) => row.unitId,
  async (ids, args, context) => {
    const { after, limit } = asked(args, ['id', 'text']);
    const { tx, fleetId } = context;
    const status = args.status ?? null;
    const found = await pages.tasksOfUnits(tx, fleetId, ids, status, after, limit);
    const tasks = new Map<string, Task[]>();
    for (const [id, rows] of found) tasks.set(id, await shown(rows, context));
    return (id) => cut(tasks.get(id) ?? [], args, (task) => [task.assetId, task.task]);
  },
);

interface UseArgs {
  from?: string | null;
  to?: string | null;
  meter?: string | null;
}

const useOfAsset = many<AssetOnUnit, UseArgs>(
  (row) => row.assetId,
  async (ids, { from, to, meter }, { tx, fleetId, nowMs }) => {
    const asked = { from: from ?? undefined, to: to ?? undefined };
    const range = boundUsageRange(asked, latestLocalDay(nowMs));
    const found = await pages.usageOfAssets(tx, fleetId, ids, range);
    return (id) => shownUse(found.get(id) ?? [], meter ?? undefined);
  },
);

const unitOfGateway = one<GatewayWithContact, UnitWithYards>(
  (row) => row.gatewayId,
  (ids, { tx, fleetId, nowMs }) => edges.unitsOfGateways(tx, fleetId, ids, nowMs),
);

const healthOfGateway = one<GatewayWithContact, HealthSummary>(
  (row) => row.gatewayId,
  (ids, { tx, fleetId }) => healthOfGateways(tx, fleetId, ids),
);

const countersOfGateway = many<GatewayWithContact, unknown>(
  (row) => row.gatewayId,
  async (ids, _args, { tx, fleetId }) => {
    const found = await shownCountersOf(tx, fleetId, ids);
    return (id) => found.get(id) ?? [];
  },
);

/** The edges of the graph: each is read for all parents of an answer at once. */
export const loaders = {
  Yard: { units: unitsOfYard },
  Unit: {
    homeYard: yard<UnitWithYards>((row) => row.homeYardId),
    presentYard: yard<UnitWithYards>((row) => row.presentYardId),
    assets: assetsOfUnit,
    installs: installs<UnitWithYards>('unit', (row) => row.unitId),
    tasks: tasksOfUnit,
    ...shopOfUnit,
  },
  Asset: {
    unit: unit<AssetOnUnit>((row) => row.unitId),
    installs: installs<AssetOnUnit>('asset', (row) => row.assetId),
    usage: useOfAsset,
    ...shopOfAsset,
  },
  ...shopLoaders,
  Install: {
    unit: unit<InstallRow>((row) => row.unitId),
    asset: asset<InstallRow>((row) => row.assetId),
    gateway: gateway<InstallRow>((row) => row.gatewayId),
  },
  Gateway: {
    unit: unitOfGateway,
    health: healthOfGateway,
    installs: installs<GatewayWithContact>('gateway', (row) => row.gatewayId),
    counters: countersOfGateway,
  },
  UpkeepTask: {
    asset: asset<Task>((task) => task.assetId),
    unit: unit<Task>((task) => task.unitId),
  },
  BringInUnit: {
    unit: unit<BringInRow>((row) => row.unitId),
    yard: yard<BringInRow>((row) => row.yardId),
  },
};
