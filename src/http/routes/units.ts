import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText } from '../../domain/instant.ts';
import { editUnit } from '../../flows/edit-fleet.ts';
import { addUnit } from '../../flows/keep-fleet.ts';
import { mustFindUnit } from '../../flows/must-find.ts';
import { lockThing } from '../../store/edit.ts';
import { listUnits, type UnitWithYards } from '../../store/unit.ts';
import { editRoutes } from '../edit-routes.ts';
import { recorder } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import { newUnit, unit, unitChange } from '../schemas/fleet.ts';

const show = (row: UnitWithYards) => ({
  unitId: row.unitId,
  number: row.number,
  homeYardId: row.homeYardId,
  presentYardId: row.presentYardId,
  note: row.note,
  furnishedBy: row.furnishedBy,
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
    tagged: true,
    run: async (work, { since, note = null, ...named }) => {
      const sinceMs = since === undefined ? null : toMs(since);
      return { body: show(await addUnit(work, { ...named, sinceMs, note })) };
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
  editRoutes(app, deps, {
    url: '/v1/units/:unitId',
    tag: 'fleet',
    get: { summary: 'A unit, with the ETag that a change of it needs', duty: 'read' },
    patch: { summary: 'Give a unit another number, note or yard', duty: 'keep_fleet' },
    params: z.object({ unitId: id }),
    body: unitChange,
    answer: unit,
    read: async (tx, req) => {
      const { fleetId } = req.caller;
      const row = await mustFindUnit(tx, fleetId, req.params.unitId, deps.clock.nowMs());
      return show(row);
    },
    lock: (tx, req) => lockThing(tx, req.caller.fleetId, 'unit', req.params.unitId),
    change: (work, { at, ...body }, req) => {
      const atMs = at === undefined ? work.nowMs : toMs(at);
      return editUnit(work, recorder(req), req.params.unitId, { ...body, atMs });
    },
  });
}
