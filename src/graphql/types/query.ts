import { addDays, latestLocalDay } from '../../domain/usage/local-day.ts';
import { Problem } from '../../errors.ts';
import { findAsset, listAssets } from '../../store/asset.ts';
import { eventsAfter } from '../../store/event.ts';
import { findGateway, listGateways } from '../../store/gateway.ts';
import { listInstalls } from '../../store/install.ts';
import { bringInList } from '../../store/standing.ts';
import { findUnit, listUnits } from '../../store/unit.ts';
import { listYards } from '../../store/yard.ts';
import { builder } from '../builder.ts';
import { asked, cut, idOf, pageArgs } from '../connection.ts';
import { mustMay } from '../may.ts';
import { TaskStatus } from './fleet.ts';
import { GatewayStates } from './gateway.ts';
import * as n from './nodes.ts';

builder.queryFields((t) => ({
  yards: t.field({
    type: n.YardConnection,
    description: 'Yards, by name.',
    args: pageArgs(),
    resolve: async (_root, args, { tx, fleetId }) => {
      const { after, limit } = asked(args, ['text', 'id']);
      const rows = await listYards(tx, fleetId, after, limit);
      return cut(rows, args, (row) => [row.name, row.yardId]);
    },
  }),
  units: t.field({
    type: n.UnitConnection,
    description: 'Units, by number.',
    args: pageArgs(),
    resolve: async (_root, args, { tx, fleetId, nowMs }) => {
      const { after, limit } = asked(args, ['text']);
      const rows = await listUnits(tx, fleetId, nowMs, after, limit);
      return cut(rows, args, (row) => [row.number]);
    },
  }),
  unit: t.field({
    type: n.Unit,
    nullable: true,
    args: { id: t.arg.id({ required: true }) },
    resolve: (_root, { id }, { tx, fleetId, nowMs }) => findUnit(tx, fleetId, idOf(id), nowMs),
  }),
  assets: t.field({
    type: n.AssetConnection,
    args: pageArgs(),
    resolve: async (_root, args, { tx, fleetId, nowMs }) => {
      const { after, limit } = asked(args, ['id']);
      const rows = await listAssets(tx, fleetId, nowMs, after, limit);
      return cut(rows, args, (row) => [row.assetId]);
    },
  }),
  asset: t.field({
    type: n.Asset,
    nullable: true,
    args: { id: t.arg.id({ required: true }) },
    resolve: (_root, { id }, { tx, fleetId, nowMs }) => findAsset(tx, fleetId, idOf(id), nowMs),
  }),
  installs: t.field({
    type: n.InstallConnection,
    description: 'Installs, past and present; withdrawn ones are left out.',
    args: { ...pageArgs(), unitId: t.arg.id() },
    resolve: async (_root, args, { tx, fleetId }) => {
      const { after, limit } = asked(args, ['id']);
      const unitId = args.unitId == null ? undefined : idOf(args.unitId);
      const rows = await listInstalls(tx, fleetId, { unitId }, after, limit);
      return cut(rows, args, (row) => [row.installId]);
    },
  }),
  gateways: t.field({
    type: n.GatewayConnection,
    args: { ...pageArgs(), state: t.arg({ type: GatewayStates }) },
    resolve: async (_root, args, { tx, fleetId }) => {
      const { after, limit } = asked(args, ['id']);
      const rows = await listGateways(tx, fleetId, after, limit, args.state ?? null);
      return cut(rows, args, (row) => [row.gatewayId]);
    },
  }),
  gateway: t.field({
    type: n.Gateway,
    nullable: true,
    args: { id: t.arg.id({ required: true }) },
    resolve: (_root, { id }, { tx, fleetId }) => findGateway(tx, fleetId, idOf(id)),
  }),
}));

builder.queryFields((t) => ({
  bringIn: t.field({
    type: n.BringInConnection,
    description: 'The units to bring to the shop, most pressing first, with the reason.',
    args: {
      ...pageArgs(),
      yardId: t.arg.id(),
      status: t.arg({ type: [TaskStatus] }),
      withinDays: t.arg.int({
        description: 'Only units whose day lies at most so many days ahead, and all unknown.',
      }),
    },
    resolve: async (_root, args, { tx, fleetId, nowMs }) => {
      const { after, limit } = asked(args, ['number', 'day', 'id']);
      const { withinDays, yardId, status } = args;
      if (withinDays != null && (withinDays < 0 || withinDays > 3650)) {
        throw new Problem('query_invalid', 'withinDays: from 0 to 3650.');
      }
      const throughDay = withinDays == null ? null : addDays(latestLocalDay(nowMs), withinDays);
      const filter = { yardId: yardId == null ? null : idOf(yardId), status: status ?? null };
      const rows = await bringInList(tx, fleetId, nowMs, { ...filter, throughDay }, after, limit);
      return cut(rows, args, (row) => [row.rank, row.pressOn, row.unitId]);
    },
  }),
  events: t.field({
    type: n.EventConnection,
    nullable: true,
    description: 'The event history, oldest first; for roles that may read it.',
    args: {
      ...pageArgs(),
      afterNumber: t.arg.int({ description: 'Begin after this number; `after` goes before it.' }),
      subject: t.arg.string(),
      type: t.arg.string(),
    },
    resolve: async (_root, args, { tx, fleetId, role }) => {
      mustMay(role, 'read_history');
      const { after, limit } = asked(args, ['number']);
      const from = after?.[0] ?? args.afterNumber ?? 0;
      const filter = { subject: args.subject ?? undefined, type: args.type ?? undefined };
      const rows = await eventsAfter(tx, fleetId, from, limit, filter);
      return cut(rows, args, (row) => [row.number]);
    },
  }),
}));
