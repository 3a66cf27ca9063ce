import { builder, loaded } from '../builder.ts';
import { TaskStatus } from './fleet.ts';
import * as n from './nodes.ts';

const Milestone = builder.objectRef<n.Task['opens']>('Milestone');
Milestone.implement({
  description: 'An edge of the window.',
  fields: (t) => ({
    day: t.expose('day', { type: 'Day', nullable: true }),
    past: t.exposeBoolean('past'),
    by: t.exposeString('by', {
      nullable: true,
      description: 'The meter, `calendar`, `deferral`, or `call`.',
    }),
    noDay: t.exposeString('noDay', { nullable: true, description: 'Why there is no day.' }),
  }),
});

type Measure = n.Task['measures'][number];
const Level = builder.objectRef<Measure['opens']>('Level');
Level.implement({
  fields: (t) => ({
    at: t.exposeFloat('at'),
    left: t.exposeFloat('left'),
    day: t.expose('day', { type: 'Day', nullable: true }),
    past: t.exposeBoolean('past'),
  }),
});

const TaskMeasure = builder.objectRef<Measure>('TaskMeasure');
TaskMeasure.implement({
  fields: (t) => ({
    measure: t.exposeString('measure'),
    unit: t.exposeString('unit'),
    used: t.exposeFloat('used'),
    most: t.exposeFloat('most'),
    known: t.exposeString('known'),
    silentSince: t.exposeString('silentSince', { nullable: true }),
    opens: t.field({ type: Level, resolve: (m) => m.opens }),
    full: t.field({ type: Level, resolve: (m) => m.full }),
    limit: t.field({ type: Level, resolve: (m) => m.limit }),
    noDay: t.exposeString('noDay', { nullable: true }),
  }),
});

type Effect = NonNullable<n.Task['effect']>;
const OverrunEffect = builder.objectRef<Effect>('OverrunEffect');
OverrunEffect.implement({
  fields: (t) => ({
    effect: t.exposeString('effect'),
    functions: t.stringList({ resolve: (effect) => [...effect.functions] }),
  }),
});

type Deferral = NonNullable<n.Task['deferral']>;
const TaskDeferral = builder.objectRef<Deferral>('TaskDeferral');
TaskDeferral.implement({
  fields: (t) => ({
    state: t.exposeString('state'),
    approver: t.exposeString('approver'),
    restriction: t.exposeString('restriction', { nullable: true }),
    endedOn: t.expose('endedOn', { type: 'Day', nullable: true }),
    reason: t.exposeString('reason', { nullable: true }),
  }),
});

type Called = NonNullable<n.Task['called']>;
const TaskCalled = builder.objectRef<Called>('TaskCalled');
TaskCalled.implement({
  description: 'What called a task due now; it stays so until it is done after that.',
  fields: (t) => ({
    day: t.expose('day', { type: 'Day' }),
    cause: t.exposeString('cause'),
    what: t.exposeString('what', { nullable: true }),
    calls: t.exposeInt('calls'),
  }),
});

n.UpkeepTask.implement({
  description:
    "Work on service points with an interval. The equipment maker's manual, local codes and " +
    'qualified practice come first.',
  fields: (t) => ({
    task: t.exposeString('task', { description: 'Its key in the pattern.' }),
    name: t.exposeString('name'),
    status: t.expose('status', { type: TaskStatus }),
    knownStatus: t.expose('knownStatus', { type: TaskStatus }),
    driver: t.exposeString('driver', { nullable: true }),
    opens: t.field({ type: Milestone, resolve: (task) => task.opens }),
    full: t.field({ type: Milestone, resolve: (task) => task.full }),
    limit: t.field({ type: Milestone, resolve: (task) => task.limit }),
    overrunSince: t.exposeString('overrunSince', { nullable: true }),
    effect: t.field({ type: OverrunEffect, nullable: true, resolve: (task) => task.effect }),
    measures: t.field({ type: [TaskMeasure], resolve: (task) => task.measures }),
    unknownBecause: t.stringList({ resolve: (task) => [...task.unknownBecause] }),
    deferral: t.field({ type: TaskDeferral, nullable: true, resolve: (task) => task.deferral }),
    called: t.field({ type: TaskCalled, nullable: true, resolve: (task) => task.called }),
    reasons: t.stringList({ resolve: (task) => task.reasons }),
    cautions: t.stringList({
      description: 'Of the task and of its service points. Show them with the work.',
      resolve: (task) => [...task.cautions],
    }),
    assessedAt: t.exposeString('assessedAt'),
    asset: t.field({ type: n.Asset, resolve: loaded }),
    unit: t.field({ type: n.Unit, resolve: loaded }),
  }),
});

type Reason = import('../../store/standing.ts').BringInRow['reasons']['reasons'][number];
const BringInReason = builder.objectRef<Reason>('BringInReason');
BringInReason.implement({
  fields: (t) => ({
    assetId: t.id({ nullable: true, resolve: (reason) => reason.asset }),
    task: t.exposeString('task', { nullable: true }),
    status: t.expose('status', { type: TaskStatus }),
    rank: t.exposeInt('rank'),
    text: t.exposeString('text'),
  }),
});

type Visit = NonNullable<import('../../store/standing.ts').BringInRow['visit']>;
const NextVisit = builder.objectRef<Visit>('NextVisit');
NextVisit.implement({
  description: 'The visit that a unit is on, or its next one.',
  fields: (t) => ({
    visitId: t.exposeID('visitId'),
    yardId: t.exposeID('yardId'),
    bay: t.exposeString('bay'),
    from: t.field({ type: 'Instant', resolve: (visit) => visit.fromMs }),
    to: t.field({ type: 'Instant', resolve: (visit) => visit.toMs }),
    canSpareFrom: t.field({
      type: 'Instant',
      nullable: true,
      resolve: (visit) => visit.canSpareFromMs,
    }),
    backBy: t.field({ type: 'Instant', nullable: true, resolve: (visit) => visit.backByMs }),
    agreed: t.exposeBoolean('agreed'),
  }),
});

n.BringInUnit.implement({
  description: 'A unit on the bring-in list.',
  fields: (t) => ({
    status: t.expose('status', { type: TaskStatus }),
    rank: t.exposeInt('rank', { description: '1 is the most pressing.' }),
    pressOn: t.field({
      type: 'Day',
      nullable: true,
      resolve: (row) => (row.pressOn === 'infinity' ? null : row.pressOn),
    }),
    reasons: t.field({ type: [BringInReason], resolve: (row) => row.reasons.reasons }),
    moreReasons: t.int({ resolve: (row) => row.reasons.more }),
    visit: t.field({ type: NextVisit, nullable: true, resolve: (row) => row.visit }),
    assessedAt: t.field({ type: 'Instant', resolve: (row) => row.assessedAtMs }),
    unit: t.field({ type: n.Unit, resolve: loaded }),
    yard: t.field({ type: n.Yard, nullable: true, resolve: loaded }),
  }),
});

n.Event.implement({
  description: 'What happened, numbered without gaps.',
  fields: (t) => ({
    number: t.exposeFloat('number'),
    type: t.exposeString('type'),
    subject: t.exposeString('subject'),
    data: t.expose('data', { type: 'Json' }),
    personal: t.expose('personal', { type: 'Json', nullable: true }),
    occurredAt: t.field({ type: 'Instant', resolve: (row) => row.occurredAtMs }),
    recordedAt: t.field({ type: 'Instant', resolve: (row) => row.recordedAtMs }),
    hash: t.string({ resolve: (row) => row.hash.toString('hex') }),
  }),
});
