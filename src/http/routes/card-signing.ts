import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { correctCard, settleLate } from '../../flows/correct-card.ts';
import { readWhole, showJobCard, showLate } from '../../flows/show-job-card.ts';
import { checkSteps, countersignSteps, signOffCard } from '../../flows/sign-card.ts';
import type { Work } from '../../flows/work.ts';
import { type LateCommandRow, listLateCommands } from '../../store/card-record.ts';
import type { JobCardRow } from '../../store/job-card.ts';
import { signer } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import * as w from '../schemas/card-work.ts';
import { id } from '../schemas/common.ts';
import { lateCommand, wholeJobCard } from '../schemas/job-card.ts';

const params = z.object({ cardId: id });
const shown = async (work: Work, row: JobCardRow) => ({
  body: showJobCard(await readWhole(work.tx, row)),
});

function stepRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/job-cards/:cardId/checks',
    tag: 'job cards',
    summary: 'Check lift-critical steps as a second person, never the one who did them',
    description:
      'In a one-man fleet the doer declares it, shown as `self_check`. A check speaks of ' +
      'what holds when it is made: a step that is told otherwise afterwards wants another.',
    duty: 'work_cards',
    status: 200,
    sign: { need: null, fresh: true },
    params,
    body: w.signedSteps,
    answer: wholeJobCard,
    run: async (work, { stepIds, words = null }, req) => {
      const input = { stepIds, words };
      return shown(work, await checkSteps(work, signer(req), req.params.cardId, input));
    },
  });
  postRoute(app, deps, {
    url: '/v1/job-cards/:cardId/countersigns',
    tag: 'job cards',
    summary: 'Vouch for steps that a trainee did',
    duty: 'work_cards',
    status: 200,
    sign: { need: null, fresh: true },
    params,
    body: w.signedSteps,
    answer: wholeJobCard,
    run: async (work, { stepIds, words = null }, req) => {
      const input = { stepIds, words };
      return shown(work, await countersignSteps(work, signer(req), req.params.cardId, input));
    },
  });
}

function closingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/job-cards/:cardId/sign-off',
    tag: 'job cards',
    summary: 'Sign a card off; from then on it never changes',
    description:
      'A lead signs; the driver signs a short card of the yard. Tasks whose every step was done ' +
      'count as done when the work was done; what was left stays due. What was mended is closed, ' +
      'and so are its stops.',
    duty: 'work_cards',
    status: 200,
    sign: { need: null, fresh: true },
    params,
    body: w.signOff,
    answer: wholeJobCard,
    run: async (work, { words = null, restNotDone = null }, req) => {
      const input = { words, restNotDone };
      return shown(work, await signOffCard(work, signer(req), req.params.cardId, input));
    },
  });
  postRoute(app, deps, {
    url: '/v1/job-cards/:cardId/corrections',
    tag: 'job cards',
    summary: 'Say of a closed card what is otherwise than it stands there',
    duty: 'work_cards',
    sign: { need: 'lead', fresh: true },
    params,
    body: w.correction,
    answer: wholeJobCard,
    run: async (work, { stepId = null, words, notDone }, req) => {
      const input = { stepId, words, notDone };
      return shown(work, await correctCard(work, signer(req), req.params.cardId, input));
    },
  });
}

function lateRoutes(app: FastifyInstance, deps: RouteDeps): void {
  listRoute(app, deps, {
    url: '/v1/late-step-commands',
    tag: 'job cards',
    summary: 'List what was told of steps when their card was closed, and waits for a word',
    duty: 'read',
    query: z.object({ cardId: id.optional() }),
    item: lateCommand,
    key: ['id', 'id'] as const,
    keyOf: (row: LateCommandRow) => [row.cardId, row.clientId],
    show: showLate,
    read: (tx, req, after, limit) =>
      listLateCommands(tx, req.caller.fleetId, req.query.cardId, after, limit),
  });
  postRoute(app, deps, {
    url: '/v1/job-cards/:cardId/late-commands/:clientId/settle',
    tag: 'job cards',
    summary: 'Say whether what came late counts',
    duty: 'work_cards',
    status: 200,
    sign: { need: 'lead', fresh: true },
    params: params.extend({ clientId: id }),
    body: w.lateDecision,
    answer: wholeJobCard,
    run: async (work, { decision, words }, req) => {
      const { cardId, clientId } = req.params;
      const input = { clientId, decision, words };
      return shown(work, await settleLate(work, signer(req), cardId, input));
    },
  });
}

export async function cardSigningRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  stepRoutes(app, deps);
  closingRoutes(app, deps);
  lateRoutes(app, deps);
}
