import type { FastifyInstance } from 'fastify';
import { instantText } from '../../domain/instant.ts';
import { addAsset } from '../../flows/keep-fleet.ts';
import { type AssetOnUnit, listAssets } from '../../store/asset.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { asset, newAsset } from '../schemas/fleet.ts';

const show = (row: AssetOnUnit) => ({
  assetId: row.assetId,
  kind: row.kind,
  serial: row.serial,
  patternId: row.patternId,
  patternVersion: row.patternVersion,
  unitId: row.unitId,
  createdAt: instantText(row.createdAtMs),
});

export async function assetRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  postRoute(app, deps, {
    url: '/v1/assets',
    tag: 'fleet',
    summary: 'Add an asset',
    duty: 'keep_fleet',
    body: newAsset,
    answer: asset,
    run: async (work, { kind, serial, patternId = null, patternVersion = null }) => ({
      body: show(await addAsset(work, { kind, serial, patternId, patternVersion })),
    }),
  });
  listRoute(app, deps, {
    url: '/v1/assets',
    tag: 'fleet',
    summary: 'List assets',
    duty: 'read',
    item: asset,
    key: ['id'] as const,
    keyOf: (row: AssetOnUnit) => [row.assetId],
    show,
    read: (tx, req, after, limit) =>
      listAssets(tx, req.caller.fleetId, deps.clock.nowMs(), after, limit),
  });
}
