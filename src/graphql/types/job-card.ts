import { signedActs } from '../../domain/shop/card-signing.ts';
import { cardKinds, cardStates } from '../../domain/shop/job-card.ts';
import { stepResults } from '../../domain/shop/merge-steps.ts';
import { stepWorks } from '../../domain/shop/step-work.ts';
import { showCardRow, type showJobCard } from '../../flows/show-job-card.ts';
import { builder, loaded } from '../builder.ts';
import { pageArgs } from '../connection.ts';
import * as n from './nodes.ts';

export const CardState = builder.enumType('JobCardState', { values: cardStates });
export const CardKind = builder.enumType('JobCardKind', { values: cardKinds });
export const StepResult = builder.enumType('StepResult', { values: stepResults });
const StepWork = builder.enumType('StepWork', { values: stepWorks });
const SignedAct = builder.enumType('SignedAct', { values: signedActs });

type Whole = ReturnType<typeof showJobCard>;
type Step = Whole['steps'][number];
type Said = Step['said'][number];

/** Somebody as a record names them. */
export const Somebody = builder.objectRef<{ personId: string | null; name: string }>('Somebody');
Somebody.implement({
  description: 'Who said or signed something; without a person it was a key.',
  fields: (t) => ({
    personId: t.exposeID('personId', { nullable: true }),
    name: t.exposeString('name'),
  }),
});

/** What something came of. */
export const Cause = builder.objectRef<{ kind: string; id: string }>('Cause');
Cause.implement({
  fields: (t) => ({ kind: t.exposeString('kind'), id: t.exposeString('id') }),
});

const StepSaid = builder.objectRef<Said>('StepSaid');
StepSaid.implement({
  description: 'What a phone said of a step.',
  fields: (t) => ({
    clientId: t.exposeID('clientId'),
    result: t.expose('result', { type: StepResult }),
    tap: t.exposeString('tap', { nullable: true }),
    reason: t.exposeString('reason', { nullable: true }),
    words: t.exposeString('words', { nullable: true }),
    measurement: t.expose('measurement', { type: 'Json', nullable: true }),
    findingId: t.exposeID('findingId', { nullable: true }),
    at: t.expose('at', { type: 'Instant', description: 'As it counts.' }),
    saidAt: t.expose('saidAt', { type: 'Instant', description: 'As the phone said.' }),
    receivedAt: t.expose('receivedAt', { type: 'Instant' }),
    by: t.field({ type: Somebody, resolve: (said) => said.by }),
    trainee: t.exposeBoolean('trainee'),
    atControls: t.exposeID('atControls', { nullable: true }),
    replaces: t.idList({ resolve: (said) => said.replaces }),
    late: t.exposeBoolean('late'),
    review: t.exposeString('review', { nullable: true }),
  }),
});

const StepLimit = builder.objectRef<Step['limits'][number]>('StepLimit');
StepLimit.implement({
  fields: (t) => ({
    key: t.exposeString('key'),
    name: t.exposeString('name'),
    unit: t.exposeString('unit'),
    least: t.exposeFloat('least', { nullable: true }),
    most: t.exposeFloat('most', { nullable: true }),
  }),
});

const JobCardStep = builder.objectRef<Step>('JobCardStep');
JobCardStep.implement({
  description:
    'One step, frozen when the card was written up. Show its cautions with it: the equipment ' +
    "maker's manual, local codes and qualified practice come first.",
  fields: (t) => ({
    id: t.exposeID('stepId'),
    stepNo: t.exposeInt('stepNo'),
    work: t.expose('work', { type: StepWork }),
    assetId: t.exposeID('assetId'),
    pointKey: t.exposeString('pointKey', { nullable: true }),
    tasks: t.stringList({ resolve: (step) => step.tasks }),
    findingId: t.exposeID('findingId', { nullable: true, description: 'What it mends.' }),
    title: t.exposeString('title'),
    side: t.exposeString('side', { nullable: true }),
    place: t.exposeString('place', { nullable: true }),
    position: t.expose('position', { type: 'Json', description: 'Of the lift.' }),
    move: t.expose('move', { type: 'Json', nullable: true }),
    how: t.stringList({ resolve: (step) => step.how }),
    tool: t.exposeString('tool', { nullable: true }),
    fits: t.exposeString('fits', { nullable: true }),
    torque: t.expose('torque', { type: 'Json', nullable: true }),
    fastener: t.expose('fastener', { type: 'Json', nullable: true }),
    lubricant: t.exposeString('lubricant', { nullable: true }),
    lubricantCode: t.exposeString('lubricantCode', { nullable: true }),
    quantity: t.expose('quantity', { type: 'Json', nullable: true }),
    limits: t.field({ type: [StepLimit], resolve: (step) => step.limits }),
    gloves: t.exposeString('gloves', { nullable: true }),
    taps: t.stringList({ resolve: (step) => [...step.taps] }),
    doneWhen: t.exposeString('doneWhen', { nullable: true }),
    usualMistake: t.exposeString('usualMistake', { nullable: true }),
    oftenMissed: t.exposeBoolean('oftenMissed'),
    liftCritical: t.exposeBoolean('liftCritical'),
    endsCardIfUnfit: t.exposeBoolean('endsCardIfUnfit'),
    needsControls: t.exposeBoolean('needsControls'),
    cautions: t.stringList({ resolve: (step) => step.cautions }),
    result: t.expose('result', { type: StepResult, nullable: true }),
    disputed: t.exposeBoolean('disputed'),
    doneAt: t.expose('doneAt', { type: 'Instant', nullable: true }),
    needsCheck: t.exposeBoolean('needsCheck'),
    checked: t.exposeString('checked', {
      nullable: true,
      description: '`self_check`: declared by the doer, in a one-man fleet.',
    }),
    needsCountersign: t.exposeBoolean('needsCountersign'),
    countersigned: t.exposeBoolean('countersigned'),
    said: t.field({ type: [StepSaid], resolve: (step) => step.said }),
  }),
});

const CardLack = builder.objectRef<Whole['lacking'][number]>('JobCardLack');
CardLack.implement({
  fields: (t) => ({ code: t.exposeString('code'), stepId: t.exposeID('stepId') }),
});

const CardSignature = builder.objectRef<Whole['signatures'][number]>('JobCardSignature');
CardSignature.implement({
  description: 'Who put a name to what.',
  fields: (t) => ({
    id: t.exposeID('signatureId'),
    act: t.expose('act', { type: SignedAct }),
    stepId: t.exposeID('stepId', { nullable: true }),
    by: t.field({ type: Somebody, resolve: (signed) => signed.by }),
    via: t.exposeString('via', { description: '`pin` or `sign_in`' }),
    togetherAndSafe: t.exposeBoolean('togetherAndSafe', { nullable: true }),
    words: t.exposeString('words', { nullable: true }),
    at: t.expose('at', { type: 'Instant' }),
    recordedAt: t.expose('recordedAt', { type: 'Instant' }),
  }),
});

const CardCorrection = builder.objectRef<Whole['corrections'][number]>('JobCardCorrection');
CardCorrection.implement({
  description: 'What was said of a closed card, which itself never changes.',
  fields: (t) => ({
    id: t.exposeID('correctionId'),
    stepId: t.exposeID('stepId', { nullable: true }),
    clientId: t.exposeID('clientId', { nullable: true }),
    decision: t.exposeString('decision', { nullable: true }),
    words: t.exposeString('words'),
    by: t.field({ type: Somebody, resolve: (said) => said.by }),
    recordedAt: t.expose('recordedAt', { type: 'Instant' }),
  }),
});

const WholeCard = builder.objectRef<Whole>('JobCardWhole');
WholeCard.implement({
  description: 'A card with its steps, what was said of them, what is lacking and who signed.',
  fields: (t) => ({
    steps: t.field({ type: [JobCardStep], resolve: (card) => card.steps }),
    lacking: t.field({
      type: [CardLack],
      description: 'What must be there before it can be signed off.',
      resolve: (card) => card.lacking,
    }),
    signatures: t.field({ type: [CardSignature], resolve: (card) => card.signatures }),
    corrections: t.field({ type: [CardCorrection], resolve: (card) => card.corrections }),
    sealHolds: t.exposeBoolean('sealHolds', {
      nullable: true,
      description: 'Whether what is stored still gives the seal.',
    }),
  }),
});

const CardTask = builder.objectRef<Whole['tasks'][number]>('JobCardTask');
CardTask.implement({
  fields: (t) => ({
    assetId: t.exposeID('assetId'),
    task: t.exposeString('task'),
    name: t.exposeString('name'),
    why: t.stringList({ resolve: (task) => task.why }),
  }),
});

n.JobCard.implement({
  description: 'The work on one unit.',
  fields: (t) => ({
    id: t.exposeID('cardId'),
    kind: t.expose('kind', { type: CardKind }),
    state: t.expose('state', { type: CardState }),
    reasons: t.stringList({ resolve: (row) => row.reasons }),
    tasks: t.field({ type: [CardTask], resolve: (row) => row.tasks }),
    cause: t.field({ type: Cause, nullable: true, resolve: (row) => showCardRow(row).cause }),
    visitId: t.exposeID('visitId', { nullable: true }),
    writtenUpAt: t.field({ type: 'Instant', resolve: (row) => row.writtenUpAtMs }),
    begunAt: t.field({ type: 'Instant', nullable: true, resolve: (row) => row.begunAtMs }),
    togetherAndSafe: t.exposeBoolean('togetherSafe', {
      nullable: true,
      description: 'What was answered when hands were last taken off.',
    }),
    restNotDone: t.exposeString('restReason', { nullable: true }),
    workEndedAt: t.field({ type: 'Instant', nullable: true, resolve: (row) => row.workEndedAtMs }),
    endedByFinding: t.exposeID('endedBy', { nullable: true }),
    closedAt: t.field({ type: 'Instant', nullable: true, resolve: (row) => row.closedAtMs }),
    seal: t.string({ nullable: true, resolve: (row) => row.seal?.toString('hex') ?? null }),
    unit: t.field({ type: n.Unit, resolve: loaded }),
    follows: t.field({
      type: n.JobCard,
      nullable: true,
      description: 'The card that left this work.',
      resolve: loaded,
    }),
    whole: t.field({ type: WholeCard, extensions: { cost: 100 }, resolve: loaded }),
  }),
});

builder.objectField(n.Unit, 'jobCards', (t) =>
  t.field({
    type: n.JobCardConnection,
    description: 'Its cards, the latest written up first.',
    args: { ...pageArgs(), state: t.arg({ type: CardState }) },
    resolve: loaded,
  }),
);
