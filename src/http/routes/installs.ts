import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText } from '../../domain/instant.ts';
import { install as installFlow } from '../../flows/install.ts';
import { type InstallRow, listInstalls } from '../../store/install.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import { install, newInstall } from '../schemas/fleet.ts';

const show = (row: InstallRow) => ({
  installId: row.installId,
  unitId: row.unitId,
  assetId: row.assetId,
  gatewayId: row.gatewayId,
  from: instantText(row.during.fromMs),
  to: row.during.toMs === null ? null : instantText(row.during.toMs),
  note: row.note,
});

export async function installRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  postRoute(app, deps, {
    url: '/v1/installs',
    tag: 'fleet',
    summary: 'Put an asset or a gateway on a unit',
    duty: 'keep_fleet',
    body: newInstall,
    answer: install,
    run: async (work, { unitId, assetId, gatewayId, from, to, move, note = null }) => {
      const row = await installFlow(work, {
        unitId,
        what: assetId === undefined ? { gatewayId: gatewayId as string } : { assetId },
        fromMs: toMs(from),
        toMs: to === undefined ? null : toMs(to),
        move,
        note,
      });
      return { body: show(row) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/installs',
    tag: 'fleet',
    summary: 'List installs',
    duty: 'read',
    query: z.object({ unitId: id.optional() }),
    item: install,
    key: ['id'] as const,
    keyOf: (row: InstallRow) => [row.installId],
    show,
    read: (tx, req, after, limit) =>
      listInstalls(tx, req.caller.fleetId, { unitId: req.query.unitId }, after, limit),
  });
}
