import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText } from '../../domain/instant.ts';
import { Problem } from '../../errors.ts';
import { editYard } from '../../flows/edit-fleet.ts';
import { addYard } from '../../flows/keep-fleet.ts';
import { lockThing } from '../../store/edit.ts';
import { findYard, listYards, type YardRow } from '../../store/yard.ts';
import { editRoutes } from '../edit-routes.ts';
import { recorder } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id } from '../schemas/common.ts';
import { newYard, yard, yardChange } from '../schemas/fleet.ts';

const show = (row: YardRow) => ({
  yardId: row.yardId,
  name: row.name,
  timeZone: row.timeZone,
  createdAt: instantText(row.createdAtMs),
});

export async function yardRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  postRoute(app, deps, {
    url: '/v1/yards',
    tag: 'fleet',
    summary: 'Add a yard',
    duty: 'keep_fleet',
    body: newYard,
    answer: yard,
    tagged: true,
    run: async (work, body) => ({ body: show(await addYard(work, body)) }),
  });
  listRoute(app, deps, {
    url: '/v1/yards',
    tag: 'fleet',
    summary: 'List yards by name',
    duty: 'read',
    item: yard,
    key: ['text', 'id'] as const,
    keyOf: (row: YardRow) => [row.name, row.yardId],
    show,
    read: (tx, req, after, limit) => listYards(tx, req.caller.fleetId, after, limit),
  });
  editRoutes(app, deps, {
    url: '/v1/yards/:yardId',
    tag: 'fleet',
    get: { summary: 'A yard, with the ETag that a change of it needs', duty: 'read' },
    patch: { summary: 'Rename a yard, or correct its time zone', duty: 'keep_fleet' },
    params: z.object({ yardId: id }),
    body: yardChange,
    answer: yard,
    read: async (tx, req) => {
      const row = await findYard(tx, req.caller.fleetId, req.params.yardId);
      if (!row) throw new Problem('not_found', 'There is no such yard in this fleet.');
      return show(row);
    },
    lock: (tx, req) => lockThing(tx, req.caller.fleetId, 'yard', req.params.yardId),
    change: (work, body, req) => editYard(work, recorder(req), req.params.yardId, body),
  });
}
