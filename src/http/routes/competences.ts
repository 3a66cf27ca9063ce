import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { giveCompetence, takeCompetence } from '../../flows/give-competence.ts';
import { mustFindPerson } from '../../flows/keep-people.ts';
import { showCompetence, showPass } from '../../flows/show-person.ts';
import {
  type CompetenceRow,
  listCompetences,
  listPasses,
  type PassRow,
} from '../../store/competence.ts';
import { recorder } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import * as s from '../schemas/person.ts';

const tag = 'people';
const one = z.object({ personId: id });
const sign = { need: 'lead', fresh: true, optional: true } as const;

export async function competenceRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  postRoute(app, deps, {
    url: '/v1/people/:personId/competences',
    tag,
    summary: 'Say what a person may do, from-to and on what evidence; a lead signs',
    duty: 'keep_people',
    params: one,
    body: s.newCompetence,
    answer: s.heldCompetence,
    sign,
    run: async (work, { competence, from, to, evidence, passesNeeded }, req) => {
      const row = await giveCompetence(work, recorder(req), req.signer, {
        personId: req.params.personId,
        competence,
        fromMs: from === undefined ? work.nowMs : toMs(from),
        toMs: to === undefined ? null : toMs(to),
        evidence,
        passesNeeded,
      });
      return { body: showCompetence(row) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/people/:personId/competences',
    tag,
    summary: 'List what a person may do, might and will do, with by whose word',
    duty: 'read_people',
    params: one,
    item: s.heldCompetence,
    key: ['id'] as const,
    keyOf: (row: CompetenceRow) => [row.competenceId],
    show: showCompetence,
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      await mustFindPerson(tx, fleetId, req.params.personId);
      return listCompetences(tx, fleetId, req.params.personId, after, limit);
    },
  });
  postRoute(app, deps, {
    url: '/v1/people/:personId/competences/:competenceId/end',
    tag,
    summary: 'End a competence now; what was signed under it stays signed',
    duty: 'keep_people',
    status: 200,
    params: one.extend({ competenceId: id }),
    body: s.competenceEnd,
    answer: s.heldCompetence,
    sign,
    run: async (work, { reason }, req) => {
      const row = await takeCompetence(work, recorder(req), req.signer, { ...req.params, reason });
      return { body: showCompetence(row) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/people/:personId/passes',
    tag,
    summary: 'List the jobs that a trainee went through under the eyes of another',
    duty: 'read_people',
    params: one,
    item: s.supervisedPass,
    key: ['id'] as const,
    keyOf: (row: PassRow) => [row.passId],
    show: showPass,
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      await mustFindPerson(tx, fleetId, req.params.personId);
      return listPasses(tx, fleetId, req.params.personId, after, limit);
    },
  });
}
