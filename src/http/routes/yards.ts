import type { FastifyInstance } from 'fastify';
import { instantText } from '../../domain/instant.ts';
import { addYard } from '../../flows/keep-fleet.ts';
import { listYards, type YardRow } from '../../store/yard.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { newYard, yard } from '../schemas/fleet.ts';

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
}
