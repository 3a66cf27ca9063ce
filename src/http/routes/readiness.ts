import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { parseCursor, printCursor } from '../../cursor.ts';
import { instantText } from '../../domain/instant.ts';
import { readUnitReadiness, seekReadiness } from '../../flows/read-readiness.ts';
import { showReadiness } from '../../flows/show-readiness.ts';
import { getRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id } from '../schemas/common.ts';
import * as s from '../schemas/readiness.ts';

const reasonsOfOne = 100;
const reasonsInList = 5;

export async function readinessRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  getRoute(app, deps, {
    url: '/v1/units/:unitId/readiness',
    tag: 'readiness',
    summary: 'What a unit may be sent to do now, why, until when, and who can clear it',
    description:
      'Read from what stands now: a stop counts at once. `event` is what an assignment says that ' +
      'it relied on.',
    duty: 'read',
    params: z.object({ unitId: id }),
    answer: s.unitReadiness,
    read: async (tx, req) => {
      const nowMs = deps.clock.nowMs();
      const found = await readUnitReadiness(tx, req.caller.fleetId, req.params.unitId, nowMs);
      const shown = showReadiness(found, null, nowMs, reasonsOfOne);
      return { event: found.event, at: instantText(nowMs), ...shown };
    },
  });
  getRoute(app, deps, {
    url: '/v1/readiness',
    tag: 'readiness',
    summary: 'Which units may take this call now, and why the others may not',
    duty: 'read',
    query: s.readinessQuery,
    answer: s.readinessPage,
    read: async (tx, req) => {
      const { limit, cursor, function: only = null, yardId = null, answer = null } = req.query;
      const after = parseCursor(cursor, ['text']);
      const nowMs = deps.clock.nowMs();
      const { event, units, next } = await seekReadiness(
        tx,
        req.caller.fleetId,
        { function: only, yardId, answers: answer },
        { after: after?.[0] ?? null, limit },
        nowMs,
      );
      return {
        event,
        at: instantText(nowMs),
        items: units.map((unit) => showReadiness(unit, only, nowMs, reasonsInList)),
        ...(next === null ? {} : { next: printCursor([next]) }),
      };
    },
  });
}
