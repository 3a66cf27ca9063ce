import { FINDING_GRADES } from '../../domain/shop/finding.ts';
import { STOP_EFFECTIVES, STOP_EFFECTS, STOP_KINDS } from '../../domain/shop/stop.ts';
import { UNIT_FUNCTIONS } from '../../domain/upkeep/service-point.ts';
import { builder, loaded } from '../builder.ts';
import { pageArgs } from '../connection.ts';
import { Cause, Somebody } from './job-card.ts';
import * as n from './nodes.ts';

export const UnitFunctions = builder.enumType('UnitFunction', { values: UNIT_FUNCTIONS });
export const StopKinds = builder.enumType('StopKind', { values: STOP_KINDS });
const StopEffects = builder.enumType('StopEffect', { values: STOP_EFFECTS });
const StopEffectives = builder.enumType('StopEffective', { values: STOP_EFFECTIVES });
const Grades = builder.enumType('FindingGrade', { values: FINDING_GRADES });

n.StopNode.implement({
  description: 'What takes functions of a unit away, or limits them.',
  fields: (t) => ({
    id: t.exposeID('stopId'),
    kind: t.expose('kind', { type: StopKinds }),
    state: t.exposeString('state', {
      description: '`waits_for_drop`, `standing`, `run_out` or `cleared`',
    }),
    effect: t.expose('effect', { type: StopEffects }),
    functions: t.field({ type: [UnitFunctions], resolve: (stop) => stop.functions }),
    limits: t.expose('limits', { type: 'Json' }),
    effective: t.expose('effective', { type: StopEffectives }),
    reason: t.exposeString('reason'),
    cause: t.field({ type: Cause, nullable: true, resolve: (stop) => stop.cause }),
    until: t.expose('until', { type: 'Instant', nullable: true }),
    placedAt: t.expose('placedAt', { type: 'Instant' }),
    placedBy: t.field({ type: Somebody, resolve: (stop) => stop.placedBy }),
    whoCanClear: t.exposeString('whoCanClear'),
    droppedAt: t.expose('droppedAt', { type: 'Instant', nullable: true }),
    clearedAt: t.expose('clearedAt', { type: 'Instant', nullable: true }),
    unit: t.field({ type: n.Unit, resolve: loaded }),
    asset: t.field({ type: n.Asset, nullable: true, resolve: loaded }),
    finding: t.field({ type: n.FindingNode, nullable: true, resolve: loaded }),
  }),
});

const Closed = builder.objectRef<NonNullable<n.Finding['closed']>>('FindingClosed');
Closed.implement({
  fields: (t) => ({
    how: t.exposeString('how'),
    at: t.expose('at', { type: 'Instant' }),
    words: t.exposeString('words'),
    by: t.field({ type: Somebody, nullable: true, resolve: (closed) => closed.by }),
    cardId: t.exposeID('cardId', { nullable: true }),
  }),
});

n.FindingNode.implement({
  description: 'What was found. It goes with its asset.',
  fields: (t) => ({
    id: t.exposeID('findingId'),
    point: t.exposeString('point', { nullable: true }),
    part: t.exposeString('part', { nullable: true }),
    grade: t.expose('grade', { type: Grades }),
    words: t.exposeString('words'),
    functions: t.field({ type: [UnitFunctions], resolve: (finding) => finding.functions }),
    mendByDay: t.expose('mendByDay', { type: 'Day', nullable: true }),
    mendByUse: t.expose('mendByUse', { type: 'Json' }),
    reports: t.exposeInt('reports', { description: 'How often it was told.' }),
    foundAt: t.expose('foundAt', { type: 'Instant' }),
    gradedAt: t.expose('gradedAt', { type: 'Instant' }),
    closed: t.field({ type: Closed, nullable: true, resolve: (finding) => finding.closed }),
    unit: t.field({ type: n.Unit, resolve: loaded }),
    asset: t.field({ type: n.Asset, nullable: true, resolve: loaded }),
  }),
});

builder.objectFields(n.Unit, (t) => ({
  stops: t.field({
    type: n.StopConnection,
    description: 'Of it and of what is on it, the last set first.',
    args: { ...pageArgs(), open: t.arg.boolean() },
    resolve: loaded,
  }),
  findings: t.field({
    type: n.FindingConnection,
    description: 'Of it and of what is on it, the last found first.',
    args: { ...pageArgs(), open: t.arg.boolean() },
    resolve: loaded,
  }),
}));
