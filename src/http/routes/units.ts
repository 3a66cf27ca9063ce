import type { FastifyInstance } from 'fastify';
import { instantText } from '../../domain/instant.ts';
import { addUnit } from '../../flows/keep-fleet.ts';
import { listUnits, type UnitWithYards } from '../../store/unit.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { toMs } from '../schemas/common.ts';
import { newUnit, unit } from '../schemas/fleet.ts';

const show = (row: UnitWithYards) => ({
  unitId: row.unitId,
  number: row.number,
  homeYardId: row.homeYardId,
  presentYardId: row.presentYardId,
  note: row.note,
  createdAt: instantText(row.createdAtMs),
});

export async function unitRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  postRoute(app, deps, {
    url: '/v1/units',
    tag: 'fleet',
    summary: 'Add a unit',
    duty: 'keep_fleet',
    body: newUnit,
    answer: unit,
    run: async (work, { number, homeYardId, since, note = null }) => {
      const sinceMs = since === undefined ? null : toMs(since);
      return { body: show(await addUnit(work, { number, homeYardId, sinceMs, note })) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/units',
    tag: 'fleet',
    summary: 'List units by number',
    duty: 'read',
    item: unit,
    key: ['text'] as const,
    keyOf: (row: UnitWithYards) => [row.number],
    show,
    read: (tx, req, after, limit) =>
      listUnits(tx, req.caller.fleetId, deps.clock.nowMs(), after, limit),
  });
}
