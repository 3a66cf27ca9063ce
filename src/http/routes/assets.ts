import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText } from '../../domain/instant.ts';
import { editAsset } from '../../flows/edit-fleet.ts';
import { addAsset } from '../../flows/keep-fleet.ts';
import { mustFindAsset } from '../../flows/must-find.ts';
import { type AssetOnUnit, listAssets } from '../../store/asset.ts';
import { lockThing } from '../../store/edit.ts';
import { editRoutes } from '../edit-routes.ts';
import { recorder } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id } from '../schemas/common.ts';
import { asset, assetChange, newAsset } from '../schemas/fleet.ts';

const show = (row: AssetOnUnit) => ({
  assetId: row.assetId,
  kind: row.kind,
  serial: row.serial,
  patternId: row.patternId,
  patternVersion: row.patternVersion,
  unitId: row.unitId,
  note: row.note,
  make: row.make,
  modelYear: row.modelYear,
  tireSize: row.tireSize,
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
    tagged: true,
    run: async (work, { patternId = null, patternVersion = null, note = null, ...named }) => ({
      body: show(await addAsset(work, { ...named, patternId, patternVersion, note })),
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
  editRoutes(app, deps, {
    url: '/v1/assets/:assetId',
    tag: 'fleet',
    get: { summary: 'An asset, with the ETag that a change of it needs', duty: 'read' },
    patch: {
      summary: 'Correct the serial or note of an asset, or have it follow another pattern version',
      duty: 'keep_fleet',
    },
    params: z.object({ assetId: id }),
    body: assetChange,
    answer: asset,
    read: async (tx, req) => {
      const { fleetId } = req.caller;
      const row = await mustFindAsset(tx, fleetId, req.params.assetId, deps.clock.nowMs());
      return show(row);
    },
    lock: (tx, req) => lockThing(tx, req.caller.fleetId, 'asset', req.params.assetId),
    change: (work, body, req) => editAsset(work, recorder(req), req.params.assetId, body),
  });
}
