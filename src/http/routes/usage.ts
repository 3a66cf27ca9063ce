import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { readAssetUsage, readUnitUsage } from '../../flows/read-usage.ts';
import { getRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id } from '../schemas/common.ts';
import { assetUsage, unitUsage, usageQuery } from '../schemas/usage.ts';

export async function usageRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  getRoute(app, deps, {
    url: '/v1/assets/:assetId/usage',
    tag: 'usage',
    summary: 'Use of an asset, by meter and local day',
    duty: 'read',
    params: z.object({ assetId: id }),
    query: usageQuery,
    answer: assetUsage,
    read: (tx, req) => {
      const { fleetId } = req.caller;
      return readAssetUsage(tx, fleetId, req.params.assetId, req.query, deps.clock.nowMs());
    },
  });
  getRoute(app, deps, {
    url: '/v1/units/:unitId/usage',
    tag: 'usage',
    summary: 'Use of every asset that is on a unit now',
    duty: 'read',
    params: z.object({ unitId: id }),
    query: usageQuery,
    answer: unitUsage,
    read: async (tx, req) => {
      const { fleetId } = req.caller;
      const { unitId } = req.params;
      const nowMs = deps.clock.nowMs();
      return { unitId, assets: await readUnitUsage(tx, fleetId, unitId, req.query, nowMs) };
    },
  });
}
