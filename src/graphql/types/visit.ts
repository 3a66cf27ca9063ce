import { builder, loaded } from '../builder.ts';
import { pageArgs } from '../connection.ts';
import * as n from './nodes.ts';

n.Visit.implement({
  description: 'A unit in a bay of a yard, as agreed with dispatch.',
  fields: (t) => ({
    id: t.exposeID('visitId'),
    bay: t.exposeString('bay'),
    from: t.field({ type: 'Instant', resolve: (row) => row.during.fromMs }),
    to: t.field({ type: 'Instant', resolve: (row) => row.during.toMs as number }),
    canSpareFrom: t.field({
      type: 'Instant',
      nullable: true,
      resolve: (row) => row.canSpareFromMs,
    }),
    backBy: t.field({ type: 'Instant', nullable: true, resolve: (row) => row.backByMs }),
    agreedBy: t.exposeString('agreedBy', { nullable: true }),
    note: t.exposeString('note', { nullable: true }),
    createdAt: t.field({ type: 'Instant', resolve: (row) => row.createdAtMs }),
    cancelledAt: t.field({ type: 'Instant', nullable: true, resolve: (row) => row.cancelledAtMs }),
    cancelReason: t.exposeString('cancelReason', { nullable: true }),
    unit: t.field({ type: n.Unit, resolve: loaded }),
    yard: t.field({ type: n.Yard, resolve: loaded }),
  }),
});

builder.objectField(n.Unit, 'visits', (t) =>
  t.field({
    type: n.VisitConnection,
    description: 'Its visits by their beginning, without those that were called off.',
    args: pageArgs(),
    resolve: loaded,
  }),
);
