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

type Row = JobCardRow;
/** The row itself is not kept in a receipt: the answer is the card as it is now. */
const quiet = async (row: Promise<Row>): Promise<null> => row.then(() => null);

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
      await onCard(context, args, {
        name: 'beginJobCard',
        bySignIn: true,
        input,
        run: (work, by, cardId) => quiet(beginCard(work, by, cardId, input)),
      });
      return cardNow(context, idOf(args.cardId));
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
      await onCard(context, args, {
        name: 'setDownJobCard',
        input,
        run: (work, by, cardId) => quiet(setDownCard(work, by, cardId, input)),
      });
      return cardNow(context, idOf(args.cardId));
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
      await onCard(context, args, {
        name: 'endWorkOnJobCard',
        input,
        run: (work, by, cardId) => quiet(endWork(work, by, cardId, input)),
      });
      return cardNow(context, idOf(args.cardId));
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
      await onCard(context, args, {
        name: 'checkSteps',
        input,
        run: (work, by, cardId) => quiet(checkSteps(work, by, cardId, input)),
      });
      return cardNow(context, idOf(args.cardId));
    },
  }),
  countersignSteps: t.field({
    type: n.JobCard,
    description: 'Vouch for steps that a trainee did.',
    args: { ...cardArgs(), stepIds: t.arg.idList({ required: true }), words: t.arg.string() },
    extensions: actCost,
    resolve: async (_root, args, context) => {
      const input = { stepIds: stepIdsOf(args.stepIds), words: words('words', args.words) };
      await onCard(context, args, {
        name: 'countersignSteps',
        input,
        run: (work, by, cardId) => quiet(countersignSteps(work, by, cardId, input)),
      });
      return cardNow(context, idOf(args.cardId));
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
      await onCard(context, args, {
        name: 'signOffJobCard',
        input,
        run: (work, by, cardId) => quiet(signOffCard(work, by, cardId, input)),
      });
      return cardNow(context, idOf(args.cardId));
    },
  }),
  sendBackJobCard: t.field({
    type: n.JobCard,
    description: 'Send a card that waits to be signed back to be worked on; a lead signs.',
    args: { ...cardArgs(), words: t.arg.string({ required: true }) },
    extensions: actCost,
    resolve: async (_root, args, context) => {
      const input = { words: mustSay('words', args.words) };
      await onCard(context, args, {
        name: 'sendBackJobCard',
        need: 'lead',
        input,
        run: (work, by, cardId) => quiet(sendBackCard(work, by, cardId, input)),
      });
      return cardNow(context, idOf(args.cardId));
    },
  }),
  withdrawJobCard: t.field({
    type: n.JobCard,
    description: 'Take back a card on which nothing was done; a lead signs.',
    args: { ...cardArgs(), words: t.arg.string({ required: true }) },
    extensions: actCost,
    resolve: async (_root, args, context) => {
      const input = { words: mustSay('words', args.words) };
      await onCard(context, args, {
        name: 'withdrawJobCard',
        need: 'lead',
        input,
        run: (work, by, cardId) => quiet(withdrawCard(work, by, cardId, input)),
      });
      return cardNow(context, idOf(args.cardId));
    },
  }),
}));
