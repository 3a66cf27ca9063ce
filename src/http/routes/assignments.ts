import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText } from '../../domain/instant.ts';
import type { ReadinessAnswer } from '../../domain/shop/readiness.ts';
import type { UnitFunction } from '../../domain/upkeep/service-point.ts';
import { logAssignment } from '../../flows/log-assignment.ts';
import { mustFindUnit } from '../../flows/must-find.ts';
import { showReadiness } from '../../flows/show-readiness.ts';
import { type AssignmentRow, listAssignments } from '../../store/assignment.ts';
import { actor } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import * as s from '../schemas/assignment.ts';
import { id, toMs } from '../schemas/common.ts';

const show = (row: AssignmentRow) => ({
  assignmentId: row.assignmentId,
  unitId: row.unitId,
  functions: row.functions as UnitFunction[],
  reliedOn: row.reliedOn,
  lastEvent: row.lastEvent,
  answers: row.answers as Partial<Record<UnitFunction, ReadinessAnswer>>,
  changed: row.changed,
  reference: row.reference,
  note: row.note,
  override: row.overrideReason,
  by: { personId: row.byPerson, name: row.byName },
  at: instantText(row.assignedAtMs),
  loggedAt: instantText(row.recordedAtMs),
});

const ofUnit = z.object({ unitId: id });
const reasonsShown = 20;

export async function assignmentRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  postRoute(app, deps, {
    url: '/v1/units/:unitId/assignments',
    tag: 'readiness',
    summary: 'Log what a unit is sent to do, with the event that dispatch relied on',
    description:
      'The answer says what has changed since that event, and what readiness says now. A unit ' +
      'that was stopped before is refused with 409; what was sent before the stop was known is ' +
      "logged all the same. Over dispatch's own restrictions somebody of dispatch may send it, " +
      'and signs.',
    duty: 'dispatch_units',
    params: ofUnit,
    body: s.newAssignment,
    answer: s.loggedAssignment,
    sign: { need: null, fresh: true, optional: true },
    run: async (work, body, req) => {
      const { row, since, readiness } = await logAssignment(work, actor(req), req.signer, {
        unitId: req.params.unitId,
        functions: body.functions,
        reliedOn: body.reliedOn,
        atMs: body.at === undefined ? null : toMs(body.at),
        reference: body.reference ?? null,
        note: body.note ?? null,
        override: body.override ?? null,
      });
      const { functions } = showReadiness(readiness, null, work.nowMs, reasonsShown);
      return {
        body: {
          ...show(row),
          since: since.map(({ number, type, recordedAtMs }) => ({
            event: number,
            type,
            at: instantText(recordedAtMs),
          })),
          now: functions.filter((each) => row.functions.includes(each.function)),
        },
      };
    },
  });
  listRoute(app, deps, {
    url: '/v1/units/:unitId/assignments',
    tag: 'readiness',
    summary: 'What a unit was sent to do, the last logged first',
    duty: 'read',
    params: ofUnit,
    item: s.assignment,
    key: ['id'] as const,
    keyOf: (row: AssignmentRow) => [row.assignmentId],
    show,
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      const { unitId } = req.params;
      await mustFindUnit(tx, fleetId, unitId, deps.clock.nowMs());
      return listAssignments(tx, fleetId, unitId, after, limit);
    },
  });
}
