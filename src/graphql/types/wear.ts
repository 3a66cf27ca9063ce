import { builder, loaded } from '../builder.ts';
import { pageArgs } from '../connection.ts';
import * as n from './nodes.ts';

const MeterValue = builder.objectRef<n.Measurement['useThen'][number]>('MeterValue');
MeterValue.implement({
  fields: (t) => ({
    meter: t.exposeString('meter'),
    unit: t.exposeString('unit'),
    value: t.exposeFloat('value'),
  }),
});

type Removed = NonNullable<n.PartLife['removed']>;
const PartRemoved = builder.objectRef<Removed>('PartRemoved');
PartRemoved.implement({
  fields: (t) => ({
    at: t.expose('at', { type: 'Instant' }),
    why: t.exposeString('why'),
    movedTo: t.exposeID('movedTo', { nullable: true }),
  }),
});

n.PartLifeNode.implement({
  description: 'A part from fitted to removed, with why.',
  fields: (t) => ({
    id: t.exposeID('lifeId'),
    part: t.exposeString('part', { description: 'Its key in the pattern.' }),
    point: t.exposeString('point'),
    setId: t.exposeID('setId', { nullable: true }),
    state: t.exposeString('state', { description: '`fitted`, `removed` or `voided`' }),
    fittedAt: t.expose('fittedAt', { type: 'Instant' }),
    priorLife: t.exposeString('priorLife'),
    priorUse: t.field({ type: [MeterValue], resolve: (life) => life.priorUse }),
    continues: t.exposeID('continues', { nullable: true }),
    makerNumber: t.exposeString('makerNumber', { nullable: true }),
    supplier: t.exposeString('supplier', { nullable: true }),
    lot: t.exposeString('lot', { nullable: true }),
    removed: t.field({ type: PartRemoved, nullable: true, resolve: (life) => life.removed }),
    warrantyUntilDay: t.expose('warrantyUntilDay', { type: 'Day', nullable: true }),
    recordedAt: t.expose('recordedAt', { type: 'Instant' }),
    asset: t.field({ type: n.Asset, resolve: loaded }),
  }),
});

type Against = NonNullable<n.Measurement['heldAgainst']>;
const HeldAgainst = builder.objectRef<Against>('HeldAgainst');
HeldAgainst.implement({
  fields: (t) => ({
    key: t.exposeString('key', {
      nullable: true,
      description: 'Which limit of the place; null: of the part.',
    }),
    unit: t.exposeString('unit'),
    nominal: t.exposeFloat('nominal', { nullable: true }),
    near: t.exposeFloat('near', { nullable: true }),
    limit: t.exposeFloat('limit', { nullable: true }),
    least: t.exposeFloat('least', { nullable: true }),
    most: t.exposeFloat('most', { nullable: true }),
  }),
});

type Decision = n.Measurement['decisions'][number];
const MeasurementDecision = builder.objectRef<Decision>('MeasurementDecision');
MeasurementDecision.implement({
  fields: (t) => ({
    decision: t.exposeString('decision'),
    by: t.exposeString('by'),
    reason: t.exposeString('reason'),
    at: t.expose('at', { type: 'Instant' }),
  }),
});

n.MeasurementNode.implement({
  description: 'What was measured, and what it was held against.',
  fields: (t) => ({
    id: t.exposeID('measurementId'),
    point: t.exposeString('point'),
    part: t.exposeString('part', { nullable: true }),
    at: t.expose('at', { type: 'Instant' }),
    value: t.exposeFloat('value', { nullable: true }),
    unit: t.exposeString('unit', { nullable: true }),
    error: t.exposeFloat('error', { nullable: true, description: 'Of one reading.' }),
    gauge: t.exposeString('gauge', { nullable: true, description: '`go`, `near` or `no_go`' }),
    tool: t.exposeString('tool', { nullable: true }),
    wiped: t.exposeBoolean('wiped', { nullable: true }),
    temperatureC: t.exposeFloat('temperatureC', { nullable: true }),
    note: t.exposeString('note', { nullable: true }),
    verdict: t.exposeString('verdict'),
    heldAgainst: t.field({ type: HeldAgainst, nullable: true, resolve: (row) => row.heldAgainst }),
    useThen: t.field({ type: [MeterValue], resolve: (row) => row.useThen }),
    state: t.exposeString('state', {
      description: '`counts`, `questioned`, `confirmed` or `withdrawn`',
    }),
    decisions: t.field({ type: [MeasurementDecision], resolve: (row) => row.decisions }),
    findingId: t.exposeID('findingId', { nullable: true }),
    stepId: t.exposeID('stepId', { nullable: true }),
    personId: t.exposeID('personId', { nullable: true }),
    measuredBy: t.exposeString('measuredBy'),
    recordedAt: t.expose('recordedAt', { type: 'Instant' }),
    asset: t.field({ type: n.Asset, resolve: loaded }),
  }),
});

builder.objectFields(n.Asset, (t) => ({
  partLives: t.field({
    type: n.PartLifeConnection,
    description: 'Its parts, in the order of telling; also those that were removed or voided.',
    args: pageArgs(),
    resolve: loaded,
  }),
  measurements: t.field({
    type: n.MeasurementConnection,
    description: 'In the order of telling; withdrawn ones too.',
    args: pageArgs(),
    resolve: loaded,
  }),
}));
