import type { Competence } from '../../domain/shop/competence.ts';
import { absent } from '../../flows/must-find.ts';
import type { Signature, Signer } from '../../flows/sign.ts';
import { checkSteps, countersignSteps, signOffCard } from '../../flows/sign-card.ts';
import type { Work } from '../../flows/work.ts';
import {
  beginCard,
  endWork,
  sendBackCard,
  setDownCard,
  withdrawCard,
} from '../../flows/work-card.ts';
import { findJobCard, type JobCardRow } from '../../store/job-card.ts';
import { builder } from '../builder.ts';
import { idOf } from '../connection.ts';
import type { GraphContext } from '../context.ts';
import { mustSay, requestIdOf, SignatureInput, signatureOf, words } from '../given.ts';
import { mustMay } from '../may.ts';
import * as n from './nodes.ts';

/** What every one of them is given. */
export const cardArgs = () =>
  builder.args((t) => ({
    cardId: t.id({ required: true }),
    signature: t.field({ type: SignatureInput, required: true }),
    requestId: t.string({
      description: 'Made by the client: sent again with the same, it is done once.',
    }),
  }));

interface CardArgs {
  cardId: string;
  signature: Parameters<typeof signatureOf>[0];
  requestId?: string | null | undefined;
}

/** What a mutation weighs besides its answer: it hashes, locks and writes. */
export const actCost = { cost: 500 };

/** The card as it stands after the act. */
export async function cardNow({ tx, fleetId }: GraphContext, cardId: string): Promise<JobCardRow> {
  const row = await findJobCard(tx, fleetId, cardId);
  if (!row) throw absent('job card');
  return row;
}

/** Does what is signed on a card and answers the card. */
export async function onCard<T>(
  context: GraphContext,
  args: CardArgs,
  act: {
    name: string;
    need?: Competence;
    /** A sign-in is enough. */
    bySignIn?: true;
    input?: unknown;
    run(work: Work, signer: Signer, cardId: string): Promise<T>;
  },
): Promise<T> {
  mustMay(context.role, 'work_cards');
  const cardId = idOf(args.cardId);
  const signature: Signature = signatureOf(args.signature);
  return context.act({
    name: `mutation ${act.name}`,
    signature,
    need: act.need ?? null,
    fresh: act.bySignIn !== true,
    requestId: requestIdOf(args.requestId),
    input: { cardId, input: act.input },
    run: (work, signer) => act.run(work, signer, cardId),
  });
}

/** The same, answered with the card as it is now: its row is not kept in a receipt. */
async function cardAfter(
  context: GraphContext,
  args: CardArgs,
  act: Parameters<typeof onCard<JobCardRow>>[2],
): Promise<JobCardRow> {
  const run = async (...given: Parameters<typeof act.run>) => {
    await act.run(...given);
    return null;
  };
  await onCard(context, args, { ...act, run });
  return cardNow(context, idOf(args.cardId));
}

const stepIdsMost = 200;
const stepIdsOf = (ids: readonly string[]): string[] => {
  if (ids.length === 0 || ids.length > stepIdsMost) mustSay(`stepIds, 1 to ${stepIdsMost}`, '');
  return ids.map(idOf);
};

builder.mutationFields((t) => ({
  beginJobCard: t.field({
    type: n.JobCard,
    description: 'Put hands on: the unit is locked by this person until hands are off.',
    args: { ...cardArgs(), at: t.arg({ type: 'Instant' }) },
    extensions: actCost,
    resolve: async (_root, args, context) => {
      const input = { atMs: args.at ?? null };
      return cardAfter(context, args, {
        name: 'beginJobCard',
        bySignIn: true,
        input,
        run: (work, by, cardId) => beginCard(work, by, cardId, input),
      });
    },
  }),
  setDownJobCard: t.field({
    type: n.JobCard,
    description: 'Take hands off; answer whether all is together and safe.',
    args: {
      ...cardArgs(),
      togetherAndSafe: t.arg.boolean({ required: true }),
      words: t.arg.string(),
      at: t.arg({ type: 'Instant' }),
    },
    extensions: actCost,
    resolve: async (_root, args, context) => {
      const { togetherAndSafe, at } = args;
      const input = { togetherAndSafe, words: words('words', args.words), atMs: at ?? null };
      return cardAfter(context, args, {
        name: 'setDownJobCard',
        input,
        run: (work, by, cardId) => setDownCard(work, by, cardId, input),
      });
    },
  }),
  endWorkOnJobCard: t.field({
    type: n.JobCard,
    description: 'Say that nothing more is to be done on this card; it waits to be signed.',
    args: {
      ...cardArgs(),
      togetherAndSafe: t.arg.boolean({ required: true }),
      words: t.arg.string(),
      restNotDone: t.arg.string({ description: 'Why what has no result was not done.' }),
      at: t.arg({ type: 'Instant' }),
    },
    extensions: actCost,
    resolve: async (_root, args, context) => {
      const { togetherAndSafe, at } = args;
      const said = { words: words('words', args.words), atMs: at ?? null };
      const restNotDone = words('restNotDone', args.restNotDone);
      const input = { togetherAndSafe, ...said, restNotDone };
      return cardAfter(context, args, {
        name: 'endWorkOnJobCard',
        input,
        run: (work, by, cardId) => endWork(work, by, cardId, input),
      });
    },
  }),
}));

builder.mutationFields((t) => ({
  checkSteps: t.field({
    type: n.JobCard,
    description: 'Check lift-critical steps as a second person, never the one who did them.',
    args: { ...cardArgs(), stepIds: t.arg.idList({ required: true }), words: t.arg.string() },
    extensions: actCost,
    resolve: async (_root, args, context) => {
      const input = { stepIds: stepIdsOf(args.stepIds), words: words('words', args.words) };
      return cardAfter(context, args, {
        name: 'checkSteps',
        input,
        run: (work, by, cardId) => checkSteps(work, by, cardId, input),
      });
    },
  }),
  countersignSteps: t.field({
    type: n.JobCard,
    description: 'Vouch for steps that a trainee did.',
    args: { ...cardArgs(), stepIds: t.arg.idList({ required: true }), words: t.arg.string() },
    extensions: actCost,
    resolve: async (_root, args, context) => {
      const input = { stepIds: stepIdsOf(args.stepIds), words: words('words', args.words) };
      return cardAfter(context, args, {
        name: 'countersignSteps',
        input,
        run: (work, by, cardId) => countersignSteps(work, by, cardId, input),
      });
    },
  }),
  signOffJobCard: t.field({
    type: n.JobCard,
    description: 'Sign a card off; from then on it never changes.',
    args: { ...cardArgs(), words: t.arg.string(), restNotDone: t.arg.string() },
    extensions: actCost,
    resolve: async (_root, args, context) => {
      const restNotDone = words('restNotDone', args.restNotDone);
      const input = { words: words('words', args.words), restNotDone };
      return cardAfter(context, args, {
        name: 'signOffJobCard',
        input,
        run: (work, by, cardId) => signOffCard(work, by, cardId, input),
      });
    },
  }),
  sendBackJobCard: t.field({
    type: n.JobCard,
    description: 'Send a card that waits to be signed back to be worked on; a lead signs.',
    args: { ...cardArgs(), words: t.arg.string({ required: true }) },
    extensions: actCost,
    resolve: async (_root, args, context) => {
      const input = { words: mustSay('words', args.words) };
      return cardAfter(context, args, {
        name: 'sendBackJobCard',
        need: 'lead',
        input,
        run: (work, by, cardId) => sendBackCard(work, by, cardId, input),
      });
    },
  }),
  withdrawJobCard: t.field({
    type: n.JobCard,
    description: 'Take back a card on which nothing was done; a lead signs.',
    args: { ...cardArgs(), words: t.arg.string({ required: true }) },
    extensions: actCost,
    resolve: async (_root, args, context) => {
      const input = { words: mustSay('words', args.words) };
      return cardAfter(context, args, {
        name: 'withdrawJobCard',
        need: 'lead',
        input,
        run: (work, by, cardId) => withdrawCard(work, by, cardId, input),
      });
    },
  }),
}));
