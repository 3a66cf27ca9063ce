import { findGrades, notDoneReasons, sizeUnits } from '../../domain/shop/step-command.ts';
import { Problem } from '../../errors.ts';
import { MAX_COMMANDS, type StepVerdict, stepVerdicts, tellSteps } from '../../flows/tell-steps.ts';
import { builder } from '../builder.ts';
import { idOf } from '../connection.ts';
import { actCost, cardArgs, cardNow, onCard } from './card-mutation.ts';
import { StepResult } from './job-card.ts';
import * as n from './nodes.ts';

const Reason = builder.enumType('NotDoneReason', { values: notDoneReasons });
const Grade = builder.enumType('FindGrade', { values: findGrades });
const SizeUnit = builder.enumType('SizeUnit', { values: sizeUnits });
const Gauge = builder.enumType('GaugeSide', { values: ['go', 'near', 'no_go'] as const });
const Verdict = builder.enumType('StepVerdictWord', { values: stepVerdicts });

const FindInput = builder.inputType('FindInput', {
  description: 'With `not_right`, and only with it: it becomes a finding at once.',
  fields: (t) => ({
    grade: t.field({ type: Grade, required: true }),
    point: t.string(),
    mendByDay: t.field({ type: 'Day' }),
  }),
});

const MeasurementInput = builder.inputType('MeasurementInput', {
  description: 'A value with its unit, or on which side of the gauge it fell.',
  fields: (t) => ({
    part: t.string(),
    value: t.float(),
    unit: t.field({ type: SizeUnit }),
    gauge: t.field({ type: Gauge }),
    tool: t.string(),
    wiped: t.boolean(),
    temperatureC: t.float(),
  }),
});

const StepCommandInput = builder.inputType('StepCommandInput', {
  description: 'What a phone says of a step. Each is judged and answered on its own.',
  fields: (t) => ({
    clientId: t.id({
      required: true,
      description: 'Made by the phone; the same command again has the same.',
    }),
    stepId: t.id({ required: true }),
    result: t.field({ type: StepResult, required: true }),
    tap: t.string(),
    reason: t.field({ type: Reason, description: 'With `not_done`, and only with it.' }),
    words: t.string(),
    find: t.field({ type: FindInput }),
    measurement: t.field({ type: MeasurementInput }),
    at: t.string({ required: true, description: 'When it was done, RFC 3339.' }),
    atControls: t.id({ description: 'Who stood at the controls, where the lift was moved.' }),
    replaces: t.idList({ description: 'Commands of others that this one puts right.' }),
  }),
});

const Fault = builder.objectRef<StepVerdict['errors'][number]>('StepFault');
Fault.implement({
  fields: (t) => ({ path: t.exposeString('path'), reason: t.exposeString('reason') }),
});

const Judged = builder.objectRef<StepVerdict>('StepVerdict');
Judged.implement({
  description: 'What became of one command.',
  fields: (t) => ({
    clientId: t.exposeID('clientId', { nullable: true }),
    verdict: t.expose('verdict', { type: Verdict }),
    detail: t.exposeString('detail', { nullable: true }),
    errors: t.field({ type: [Fault], resolve: (judged) => judged.errors }),
    findingId: t.exposeID('findingId', { nullable: true }),
    stopId: t.exposeID('stopId', {
      nullable: true,
      description: 'The stop that the finding has set.',
    }),
  }),
});

const Told = builder.objectRef<{ cardId: string; verdicts: StepVerdict[] }>('StepsTold');
Told.implement({
  fields: (t) => ({
    verdicts: t.field({
      type: [Judged],
      description: 'One a command, in their order.',
      resolve: (told) => told.verdicts,
    }),
    card: t.field({
      type: n.JobCard,
      resolve: (told, _args, context) => cardNow(context, told.cardId),
    }),
  }),
});

/** A field that is not said is left out, as REST has it. */
const said = (given: object): Record<string, unknown> =>
  Object.fromEntries(
    Object.entries(given)
      .filter(([, value]) => value !== null && value !== undefined)
      .map(([key, value]) => [
        key,
        typeof value === 'object' && !Array.isArray(value) ? said(value) : value,
      ]),
  );

builder.mutationField('tellSteps', (t) =>
  t.field({
    type: Told,
    description:
      'Tell what was done in the steps of a card; the same commands again change nothing. What ' +
      'comes when the card is closed is kept for review.',
    args: { ...cardArgs(), commands: t.arg({ type: [StepCommandInput], required: true }) },
    extensions: actCost,
    resolve: async (_root, args, context) => {
      if (args.commands.length > MAX_COMMANDS) {
        throw new Problem('query_invalid', `commands: at most ${MAX_COMMANDS}.`);
      }
      const commands = args.commands.map(said);
      const { verdicts } = await onCard(context, args, {
        name: 'tellSteps',
        bySignIn: true,
        input: commands,
        run: (work, by, cardId) => tellSteps(work, by, cardId, commands),
      });
      return { cardId: idOf(args.cardId), verdicts };
    },
  }),
);
