import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { followCard } from '../../flows/follow-card.ts';
import { readWhole, showJobCard } from '../../flows/show-job-card.ts';
import { tellSteps } from '../../flows/tell-steps.ts';
import type { Work } from '../../flows/work.ts';
import {
  beginCard,
  endWork,
  sendBackCard,
  setDownCard,
  withdrawCard,
} from '../../flows/work-card.ts';
import type { JobCardRow } from '../../store/job-card.ts';
import { actor, signer } from '../recorder.ts';
import { postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import * as w from '../schemas/card-work.ts';
import { id, toMs } from '../schemas/common.ts';
import { wholeJobCard } from '../schemas/job-card.ts';

const params = z.object({ cardId: id });
const ms = (at: string | undefined) => (at === undefined ? null : toMs(at));
const shown = async (work: Work, row: JobCardRow) => ({
  body: showJobCard(await readWhole(work.tx, row)),
});

/** Room for the most commands, each with all its words. */
const bodyLimit = 512 * 1024;

function tellingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/job-cards/:cardId/commands',
    tag: 'job cards',
    summary: 'Tell what was done in the steps of a card',
    description:
      'Each command is judged and answered on its own, in the order of the post; the same again ' +
      'changes nothing, so a phone that was offline sends all that it has not seen answered. Of ' +
      'one person’s words on a step the later holds; of two people the worse, until one ' +
      '`replaces` what the other said. `not_right` becomes a finding; a first look that finds it ' +
      '`unfit` ends the card. What comes when the card is closed is kept for review.',
    duty: 'work_cards',
    status: 200,
    bodyLimit,
    sign: { need: null },
    params,
    body: w.stepCommands,
    answer: w.stepsTold,
    run: async (work, { commands }, req) => ({
      body: await tellSteps(work, signer(req), req.params.cardId, commands),
    }),
  });
  postRoute(app, deps, {
    url: '/v1/job-cards/:cardId/follow-on',
    tag: 'job cards',
    summary: 'Write up the card that goes on with what this one left',
    duty: 'work_cards',
    params,
    body: w.following,
    answer: wholeJobCard,
    run: async (work, { stepIds = null, reasons, visitId = null }, req) => {
      const input = { stepIds, reasons, visitId };
      return shown(work, await followCard(work, actor(req), req.params.cardId, input));
    },
  });
}

function handsRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/job-cards/:cardId/begin',
    tag: 'job cards',
    summary: 'Put hands on: the unit is locked by this person until hands are off',
    duty: 'work_cards',
    status: 200,
    sign: { need: null },
    params,
    body: w.begin,
    answer: wholeJobCard,
    run: async (work, { at }, req) =>
      shown(work, await beginCard(work, signer(req), req.params.cardId, { atMs: ms(at) })),
  });
  postRoute(app, deps, {
    url: '/v1/job-cards/:cardId/set-down',
    tag: 'job cards',
    summary: 'Take hands off; answer whether all is together and safe',
    duty: 'work_cards',
    status: 200,
    sign: { need: null, fresh: true },
    params,
    body: w.setDown,
    answer: wholeJobCard,
    run: async (work, { togetherAndSafe, words = null, at }, req) => {
      const input = { togetherAndSafe, words, atMs: ms(at) };
      return shown(work, await setDownCard(work, signer(req), req.params.cardId, input));
    },
  });
  postRoute(app, deps, {
    url: '/v1/job-cards/:cardId/end-work',
    tag: 'job cards',
    summary: 'Say that nothing more is to be done on this card; it waits to be signed',
    duty: 'work_cards',
    status: 200,
    sign: { need: null, fresh: true },
    params,
    body: w.endWork,
    answer: wholeJobCard,
    run: async (work, { togetherAndSafe, words = null, at, restNotDone = null }, req) => {
      const input = { togetherAndSafe, words, atMs: ms(at), restNotDone };
      return shown(work, await endWork(work, signer(req), req.params.cardId, input));
    },
  });
}

function leadRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/job-cards/:cardId/send-back',
    tag: 'job cards',
    summary: 'Send a card that waits to be signed back to be worked on',
    duty: 'work_cards',
    status: 200,
    sign: { need: 'lead', fresh: true },
    params,
    body: w.saidWithWords,
    answer: wholeJobCard,
    run: async (work, { words }, req) =>
      shown(work, await sendBackCard(work, signer(req), req.params.cardId, { words })),
  });
  postRoute(app, deps, {
    url: '/v1/job-cards/:cardId/withdraw',
    tag: 'job cards',
    summary: 'Take back a card on which nothing was done',
    duty: 'work_cards',
    status: 200,
    sign: { need: 'lead', fresh: true },
    params,
    body: w.saidWithWords,
    answer: wholeJobCard,
    run: async (work, { words }, req) =>
      shown(work, await withdrawCard(work, signer(req), req.params.cardId, { words })),
  });
}

export async function cardWorkRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  tellingRoutes(app, deps);
  handsRoutes(app, deps);
  leadRoutes(app, deps);
}
