import { type SwitchSuspect, suspectText } from '../../domain/usage/switch-suspect.ts';
import type { ShownCounter } from '../../flows/declare-counters.ts';
import { gatewayStates } from '../../store/gateway.ts';
import type { HealthSummary } from '../../store/gateway-watch.ts';
import { builder, loaded } from '../builder.ts';
import { pageArgs } from '../connection.ts';
import * as n from './nodes.ts';

export const GatewayStates = builder.enumType('GatewayState', { values: gatewayStates });

const Suspect = builder.objectRef<SwitchSuspect>('SwitchSuspect');
Suspect.implement({
  description: 'A counter that stood still while the unit worked, when it was told.',
  fields: (t) => ({
    assetId: t.exposeID('assetId'),
    meter: t.exposeString('meter'),
    counter: t.exposeString('counter'),
    witness: t.exposeString('witness', { description: 'The meter that went on meanwhile.' }),
    lastCountedOn: t.exposeString('lastCountedOn', { nullable: true }),
    text: t.string({ resolve: suspectText }),
  }),
});

const Health = builder.objectRef<HealthSummary>('GatewayHealth');
Health.implement({
  fields: (t) => ({
    silentSince: t.field({
      type: 'Instant',
      nullable: true,
      resolve: (health) => health.silentSinceMs,
    }),
    clockOffsetMs: t.exposeFloat('deviceOffsetMs', {
      nullable: true,
      description: 'Device clock minus ours when it last said so.',
    }),
    longestGapSeconds: t.float({ resolve: (health) => health.habitMs / 1000 }),
    suspects: t.field({ type: [Suspect], resolve: (health) => health.suspects }),
    checkedAt: t.field({
      type: 'Instant',
      nullable: true,
      resolve: (health) => health.checkedAtMs,
    }),
  }),
});

n.Gateway.implement({
  fields: (t) => ({
    id: t.exposeID('gatewayId'),
    serial: t.exposeString('serial'),
    note: t.exposeString('note', { nullable: true }),
    createdAt: t.field({ type: 'Instant', resolve: (row) => row.createdAtMs }),
    lastPostAt: t.field({
      type: 'Instant',
      nullable: true,
      resolve: (row) => row.lastPostAtMs,
    }),
    states: t.field({
      type: [GatewayStates],
      description: 'What is wrong with it, as lists tell it; empty: nothing.',
      resolve: (row) => row.states,
    }),
    health: t.field({
      type: Health,
      nullable: true,
      description: 'As it was last told; the whole of it is at /v1/gateways/{id}/health.',
      extensions: { cost: 5 },
      resolve: loaded,
    }),
    unit: t.field({ type: n.Unit, nullable: true, description: 'Now.', resolve: loaded }),
    installs: t.field({ type: n.InstallConnection, args: pageArgs(), resolve: loaded }),
    counters: t.field({
      type: [n.Counter],
      description: 'What it counts, and where each stream stands.',
      extensions: { cost: 10 },
      resolve: loaded,
    }),
  }),
});

const Epoch = builder.objectRef<ShownCounter['epochs'][number]>('Epoch');
Epoch.implement({
  fields: (t) => ({
    epoch: t.exposeInt('epoch'),
    cause: t.exposeString('cause'),
    contiguous: t.exposeFloat('contiguous', {
      nullable: true,
      description: 'Everything up to this number is settled.',
    }),
    highest: t.exposeFloat('highest', { nullable: true }),
  }),
});

n.Counter.implement({
  description: 'What a device counts.',
  fields: (t) => ({
    name: t.exposeString('counter'),
    meter: t.exposeString('meter'),
    resolution: t.exposeFloat('resolution'),
    widthBits: t.exposeInt('widthBits'),
    scope: t.exposeString('scope'),
    controller: t.exposeString('controller', { nullable: true }),
    basis: t.exposeString('basis'),
    basisVersion: t.exposeInt('basisVersion'),
    epochs: t.field({ type: [Epoch], resolve: (counter) => counter.epochs }),
  }),
});
