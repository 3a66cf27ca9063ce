import type { ShownCounter } from '../../flows/declare-counters.ts';
import { builder, loaded } from '../builder.ts';
import { pageArgs } from '../connection.ts';
import * as n from './nodes.ts';

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
