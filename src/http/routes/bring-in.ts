import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { page, parseCursor } from '../../cursor.ts';
import { instantText, instantTextOrNull } from '../../domain/instant.ts';
import { addDays, latestLocalDay } from '../../domain/usage/local-day.ts';
import { type BringInRow, bringInList, type NextVisit } from '../../store/standing.ts';
import { etagOf, tellUnchanged } from '../etag.ts';
import { getRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { cursor, id, pageOf, pageQuery } from '../schemas/common.ts';
import { bringInUnit, taskStatus } from '../schemas/upkeep.ts';

const showVisit = ({ fromMs, toMs, canSpareFromMs, backByMs, ...rest }: NextVisit) => ({
  ...rest,
  from: instantText(fromMs),
  to: instantText(toMs),
  canSpareFrom: instantTextOrNull(canSpareFromMs),
  backBy: instantTextOrNull(backByMs),
});

const show = (row: BringInRow) => ({
  unitId: row.unitId,
  number: row.number,
  yardId: row.yardId,
  yardName: row.yardName,
  status: row.status,
  rank: row.rank,
  pressOn: row.pressOn === 'infinity' ? null : row.pressOn,
  reasons: row.reasons.reasons.map(({ asset, ...reason }) => ({ assetId: asset, ...reason })),
  moreReasons: row.reasons.more,
  visit: row.visit && showVisit(row.visit),
  assessedAt: instantText(row.assessedAtMs),
});

const query = pageQuery.extend({
  cursor: cursor.optional(),
  yardId: id.optional(),
  status: z
    .string()
    .max(100)
    .transform((text) => text.split(','))
    .pipe(z.array(taskStatus).min(1).max(4))
    .optional()
    .meta({
      description: 'One or more of the statuses, with commas.',
      type: 'string',
      maxLength: 100,
    }),
  withinDays: z.coerce.number().int().min(0).max(3650).optional().meta({
    description: 'Only units whose day lies at most so many days ahead, and all that are unknown.',
  }),
});

export async function bringInRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  getRoute(app, deps, {
    url: '/v1/bring-in',
    tag: 'upkeep',
    summary: 'The units to bring to the shop, most pressing first, with the reason',
    duty: 'read',
    query,
    tagged: true,
    answer: pageOf(bringInUnit).meta({ id: 'BringInList' }),
    read: async (tx, req, reply) => {
      const { limit, cursor: text, yardId, status, withinDays } = req.query;
      const after = parseCursor(text, ['number', 'day', 'id']);
      const today = latestLocalDay(deps.clock.nowMs());
      const throughDay = withinDays === undefined ? null : addDays(today, withinDays);
      const rows = await bringInList(
        tx,
        req.caller.fleetId,
        deps.clock.nowMs(),
        { yardId: yardId ?? null, status: status ?? null, throughDay },
        after,
        limit + 1,
      );
      const body = page(rows, limit, show, (row) => [row.rank, row.pressOn, row.unitId]);
      return tellUnchanged(req, reply, etagOf(body)) ? (null as never) : body;
    },
  });
}
