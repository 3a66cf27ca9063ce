import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { cardForIncident, cardForTrouble } from '../../flows/card-for-trouble.ts';
import { closeTrouble } from '../../flows/close-trouble.ts';
import { mustFindUnit } from '../../flows/must-find.ts';
import { readIncident, showIncident } from '../../flows/show-trouble.ts';
import { tellIncident } from '../../flows/tell-incident.ts';
import { type IncidentRow, listIncidents } from '../../store/incident.ts';
import { actor, signer } from '../recorder.ts';
import { getRoute, listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import * as s from '../schemas/trouble.ts';

const ofUnit = z.object({ unitId: id });
const one = ofUnit.extend({ incidentId: id });

function tellingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/units/:unitId/incidents',
    tag: 'shop',
    summary: 'Tell a collision, an overload, a shock load or a drop; the unit stops at once',
    description:
      'Nothing of the unit is used until it was inspected in full: every task that looks, ' +
      'measures, tightens or tries anything of what bore the load is called due, and on a job ' +
      'card at once.',
    duty: 'report_fault',
    params: ofUnit,
    sign: { need: null, optional: true },
    body: s.newIncident,
    answer: s.wholeIncident,
    run: async (work, body, req) => {
      const by = actor(req);
      const { unitId } = req.params;
      const { row } = await tellIncident(work, by, {
        unitId,
        kind: body.kind,
        words: body.words,
        loadOnHook: body.loadOnHook,
        happenedAtMs: body.happenedAt === undefined ? work.nowMs : toMs(body.happenedAt),
      });
      const { incidentId } = row;
      await cardForIncident(work, by, { unitId, incidentId });
      return { body: await readIncident(work.tx, work.fleetId, unitId, incidentId) };
    },
  });
  postRoute(app, deps, {
    url: '/v1/units/:unitId/incidents/:incidentId/card',
    tag: 'shop',
    summary: 'Write up another card of the full inspection, or put it on an open one',
    duty: 'work_cards',
    params: one,
    body: s.troubleCard,
    answer: s.wholeIncident,
    run: async (work, { cardId = null, visitId = null }, req) => {
      const { unitId, incidentId } = req.params;
      const what = { kind: 'incident', unitId, id: incidentId, cardId, visitId } as const;
      await cardForTrouble(work, actor(req), what);
      return { body: await readIncident(work.tx, work.fleetId, unitId, incidentId) };
    },
  });
  postRoute(app, deps, {
    url: '/v1/units/:unitId/incidents/:incidentId/close',
    tag: 'shop',
    summary: 'Say which card inspected it in full, or that nothing happened; a lead signs',
    duty: 'work_cards',
    status: 200,
    params: one,
    sign: { need: 'lead', fresh: true },
    body: s.troubleClosing,
    answer: s.wholeIncident,
    run: async (work, { words, cardId = null }, req) => {
      const { unitId, incidentId } = req.params;
      const what = { kind: 'incident', unitId, id: incidentId, words, cardId } as const;
      await closeTrouble(work, signer(req), what);
      return { body: await readIncident(work.tx, work.fleetId, unitId, incidentId) };
    },
  });
}

export async function incidentRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  tellingRoutes(app, deps);
  listRoute(app, deps, {
    url: '/v1/units/:unitId/incidents',
    tag: 'shop',
    summary: 'The incidents of a unit, the last told first',
    duty: 'read',
    params: ofUnit,
    query: z.object({ open: z.enum(['true', 'false']).optional() }),
    item: s.incident,
    key: ['id'] as const,
    keyOf: (row: IncidentRow) => [row.incidentId],
    show: showIncident,
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      const { unitId } = req.params;
      await mustFindUnit(tx, fleetId, unitId, deps.clock.nowMs());
      const { open } = req.query;
      const filter = { unitId, open: open === undefined ? undefined : open === 'true' };
      return listIncidents(tx, fleetId, filter, after, limit);
    },
  });
  getRoute(app, deps, {
    url: '/v1/units/:unitId/incidents/:incidentId',
    tag: 'shop',
    summary: 'An incident, what it stopped, and what its full inspection still lacks',
    duty: 'read',
    params: one,
    answer: s.wholeIncident,
    read: (tx, req) =>
      readIncident(tx, req.caller.fleetId, req.params.unitId, req.params.incidentId),
  });
}
