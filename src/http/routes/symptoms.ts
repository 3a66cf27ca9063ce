import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { cardForTrouble } from '../../flows/card-for-trouble.ts';
import { closeTrouble } from '../../flows/close-trouble.ts';
import { mustFindUnit } from '../../flows/must-find.ts';
import { readSymptom, showSymptom, showTold } from '../../flows/show-trouble.ts';
import { tellSymptom } from '../../flows/tell-symptom.ts';
import { listSymptoms, type SymptomRow } from '../../store/symptom.ts';
import { actor, signer } from '../recorder.ts';
import { getRoute, listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import * as s from '../schemas/trouble.ts';

const ofUnit = z.object({ unitId: id });
const one = ofUnit.extend({ symptomId: id });
const openOnly = z.enum(['true', 'false']).optional();
const openOf = (open: 'true' | 'false' | undefined) =>
  open === undefined ? undefined : open === 'true';

function tellingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/units/:unitId/symptoms',
    tag: 'shop',
    summary: 'Tell a symptom, and be told what to do now',
    description:
      'One word from the closed list, and whether a load is on the hook. The same word, still ' +
      'open, joins what was told before. Told again within 30 days after it was mended, it ' +
      'comes back as a new one that names the old.',
    duty: 'report_fault',
    params: ofUnit,
    sign: { need: null, optional: true },
    body: s.newSymptom,
    answer: s.wholeSymptom,
    run: async (work, body, req) => {
      const told = await tellSymptom(work, actor(req), {
        unitId: req.params.unitId,
        assetId: body.assetId ?? null,
        symptom: body.symptom,
        loadOnHook: body.loadOnHook,
        words: body.words,
        noticedAtMs: body.noticedAt === undefined ? work.nowMs : toMs(body.noticedAt),
      });
      return { body: await showTold(work.tx, told) };
    },
  });
  postRoute(app, deps, {
    url: '/v1/units/:unitId/symptoms/:symptomId/card',
    tag: 'shop',
    summary: 'Write up the job card that looks into a symptom, or put it on an open one',
    description:
      'The card has what the symptom called due, and a look at each place of a likely cause, in ' +
      'the order in which to ask.',
    duty: 'work_cards',
    params: one,
    body: s.troubleCard,
    answer: s.wholeSymptom,
    run: async (work, { cardId = null, visitId = null }, req) => {
      const { unitId, symptomId: id } = req.params;
      await cardForTrouble(work, actor(req), { kind: 'symptom', unitId, id, cardId, visitId });
      return { body: await readSymptom(work.tx, work.fleetId, req.params, work.nowMs) };
    },
  });
  postRoute(app, deps, {
    url: '/v1/units/:unitId/symptoms/:symptomId/close',
    tag: 'shop',
    summary: 'Say on which card it was mended, or that nothing needs mending; a lead signs',
    duty: 'work_cards',
    status: 200,
    params: one,
    sign: { need: 'lead', fresh: true },
    body: s.troubleClosing,
    answer: s.wholeSymptom,
    run: async (work, { words, cardId = null }, req) => {
      const { unitId, symptomId: id } = req.params;
      await closeTrouble(work, signer(req), { kind: 'symptom', unitId, id, words, cardId });
      return { body: await readSymptom(work.tx, work.fleetId, req.params, work.nowMs) };
    },
  });
}

export async function symptomRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  tellingRoutes(app, deps);
  listRoute(app, deps, {
    url: '/v1/units/:unitId/symptoms',
    tag: 'shop',
    summary: 'The symptoms of a unit and of what is on it now, and what came of each',
    duty: 'read',
    params: ofUnit,
    query: z.object({ open: openOnly }),
    item: s.symptom,
    key: ['id'] as const,
    keyOf: (row: SymptomRow) => [row.symptomId],
    show: showSymptom,
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      const { unitId } = req.params;
      const atMs = deps.clock.nowMs();
      await mustFindUnit(tx, fleetId, unitId, atMs);
      const filter = { unitId, atMs, open: openOf(req.query.open) };
      return listSymptoms(tx, fleetId, filter, after, limit);
    },
  });
  listRoute(app, deps, {
    url: '/v1/symptoms',
    tag: 'shop',
    summary: 'The symptoms of all units, the last told first',
    duty: 'read',
    query: z.object({ open: openOnly }),
    item: s.symptom,
    key: ['id'] as const,
    keyOf: (row: SymptomRow) => [row.symptomId],
    show: showSymptom,
    read: (tx, req, after, limit) => {
      const filter = { unitId: undefined, atMs: 0, open: openOf(req.query.open) };
      return listSymptoms(tx, req.caller.fleetId, filter, after, limit);
    },
  });
  getRoute(app, deps, {
    url: '/v1/units/:unitId/symptoms/:symptomId',
    tag: 'shop',
    summary: 'A symptom: what to do now, likely causes in order, and what came of it',
    duty: 'read',
    params: one,
    answer: s.wholeSymptom,
    read: (tx, req) => readSymptom(tx, req.caller.fleetId, req.params, deps.clock.nowMs()),
  });
}
