import { assetKinds } from '../../domain/usage/meter.ts';
import { builder, loaded } from '../builder.ts';
import { pageArgs } from '../connection.ts';
import * as n from './nodes.ts';

export const AssetKind = builder.enumType('AssetKind', { values: assetKinds });

n.Yard.implement({
  description: 'A place with a time zone.',
  fields: (t) => ({
    id: t.exposeID('yardId'),
    name: t.exposeString('name'),
    timeZone: t.exposeString('timeZone', { description: 'IANA.' }),
    createdAt: t.field({ type: 'Instant', resolve: (row) => row.createdAtMs }),
    units: t.field({
      type: n.UnitConnection,
      description: 'Units at home here now, by number.',
      args: pageArgs(),
      resolve: loaded,
    }),
  }),
});

n.Unit.implement({
  description: 'A number in the fleet: what dispatch sends.',
  fields: (t) => ({
    id: t.exposeID('unitId'),
    number: t.exposeString('number'),
    note: t.exposeString('note', { nullable: true }),
    furnishedBy: t.exposeString('furnishedBy', {
      nullable: true,
      description: 'Who furnishes it, where the fleet does not own it.',
    }),
    createdAt: t.field({ type: 'Instant', resolve: (row) => row.createdAtMs }),
    homeYard: t.field({ type: n.Yard, nullable: true, resolve: loaded }),
    presentYard: t.field({ type: n.Yard, nullable: true, resolve: loaded }),
    assets: t.field({
      type: n.AssetConnection,
      description: 'What is on it now.',
      args: pageArgs(),
      resolve: loaded,
    }),
    installs: t.field({
      type: n.InstallConnection,
      description: 'What is and was on it: assets and gateways.',
      args: pageArgs(),
      resolve: loaded,
    }),
    tasks: t.field({
      type: n.UpkeepTaskConnection,
      description: 'Its upkeep tasks as last assessed.',
      args: {
        ...pageArgs(),
        status: t.arg({ type: [TaskStatus], description: 'Only of these statuses.' }),
      },
      resolve: loaded,
    }),
  }),
});

export const TaskStatus = builder.enumType('TaskStatus', {
  values: ['ahead', 'in_window', 'overrun', 'unknown'] as const,
});

const UsageDay = builder.objectRef<{ day: string; use: number; grains: number }>('UsageDay');
UsageDay.implement({
  fields: (t) => ({
    day: t.expose('day', { type: 'Day' }),
    use: t.exposeFloat('use'),
    grains: t.exposeFloat('grains', { description: 'Seconds, cycles or metres: exact.' }),
  }),
});

export interface Use {
  meter: string;
  unit: string;
  total: number;
  totalGrains: number;
  adjusted: number;
  days: { day: string; use: number; grains: number }[];
}
const MeterUse = builder.objectRef<Use>('MeterUse');
MeterUse.implement({
  description: 'Use of one meter: the total since counting began, and days with use.',
  fields: (t) => ({
    meter: t.exposeString('meter'),
    unit: t.exposeString('unit', { description: 'hours, cycles or km' }),
    total: t.exposeFloat('total'),
    totalGrains: t.exposeFloat('totalGrains'),
    adjusted: t.exposeFloat('adjusted', { description: 'What of it people adjusted.' }),
    days: t.field({ type: [UsageDay], resolve: (use) => use.days }),
  }),
});

n.Asset.implement({
  description: 'A thing with a serial number that wears.',
  fields: (t) => ({
    id: t.exposeID('assetId'),
    kind: t.expose('kind', { type: AssetKind }),
    serial: t.exposeString('serial'),
    note: t.exposeString('note', { nullable: true }),
    make: t.exposeString('make', { nullable: true }),
    modelYear: t.exposeInt('modelYear', { nullable: true }),
    tireSize: t.exposeString('tireSize', { nullable: true }),
    patternId: t.exposeID('patternId', { nullable: true }),
    patternVersion: t.exposeInt('patternVersion', { nullable: true }),
    createdAt: t.field({ type: 'Instant', resolve: (row) => row.createdAtMs }),
    unit: t.field({ type: n.Unit, nullable: true, description: 'Now.', resolve: loaded }),
    installs: t.field({ type: n.InstallConnection, args: pageArgs(), resolve: loaded }),
    usage: t.field({
      type: [MeterUse],
      description:
        'Use by meter; days in a range of at most 400, by default the last 30. With `from` it ' +
        'costs 100.',
      args: {
        from: t.arg({ type: 'Day' }),
        to: t.arg({ type: 'Day' }),
        meter: t.arg.string(),
      },
      extensions: { cost: 10, costGiven: { from: 100 } },
      resolve: loaded,
    }),
  }),
});

n.Install.implement({
  description: 'An asset or a gateway on a unit, from-to.',
  fields: (t) => ({
    id: t.exposeID('installId'),
    from: t.field({ type: 'Instant', resolve: (row) => row.during.fromMs }),
    to: t.field({
      type: 'Instant',
      nullable: true,
      description: 'Null: it is still there.',
      resolve: (row) => row.during.toMs,
    }),
    note: t.exposeString('note', { nullable: true }),
    unit: t.field({ type: n.Unit, resolve: loaded }),
    asset: t.field({ type: n.Asset, nullable: true, resolve: loaded }),
    gateway: t.field({ type: n.Gateway, nullable: true, resolve: loaded }),
  }),
});
