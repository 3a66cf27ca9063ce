import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText } from '../../domain/instant.ts';
import { editFleet } from '../../flows/edit-fleet.ts';
import { findFleet, lockFleet } from '../../store/fleet.ts';
import { editRoutes } from '../edit-routes.ts';
import { recorder } from '../recorder.ts';
import type { RouteDeps } from '../route-deps.ts';
import { fleet, fleetChange } from '../schemas/fleet-settings.ts';

export async function fleetSettingRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  editRoutes(app, deps, {
    url: '/v1/fleet',
    tag: 'fleet',
    get: { summary: 'The fleet and how it works', duty: 'read' },
    patch: {
      summary: 'Rename the fleet, or say that one person alone works on it',
      duty: 'set_fleet',
    },
    params: z.object({}),
    body: fleetChange,
    answer: fleet,
    read: async (tx, req) => {
      const { fleetId, name, oneMan, createdAtMs } = await findFleet(tx, req.caller.fleetId);
      return { fleetId, name, oneMan, createdAt: instantText(createdAtMs) };
    },
    lock: (tx, req) => lockFleet(tx, req.caller.fleetId),
    change: (work, body, req) => editFleet(work, recorder(req), body),
  });
}
