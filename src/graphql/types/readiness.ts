import { READINESS_ANSWERS } from '../../domain/shop/readiness.ts';
import { REASON_EFFECTS, REASON_SOURCES } from '../../domain/shop/readiness-reason.ts';
import { seekReadiness } from '../../flows/read-readiness.ts';
import { showReadiness } from '../../flows/show-readiness.ts';
import { builder, loaded } from '../builder.ts';
import { asked, idOf, type Page, pageArgs } from '../connection.ts';
import * as n from './nodes.ts';
import { StopKinds, UnitFunctions } from './stop.ts';

const Answers = builder.enumType('ReadinessAnswer', { values: READINESS_ANSWERS });
const Sources = builder.enumType('ReasonSource', { values: REASON_SOURCES });
const Effects = builder.enumType('ReasonEffect', { values: REASON_EFFECTS });

type OfFunction = n.Readiness['functions'][number];
type Reason = OfFunction['reasons'][number];

const ReadinessReason = builder.objectRef<Reason>('ReadinessReason');
ReadinessReason.implement({
  fields: (t) => ({
    what: t.expose('what', { type: Sources }),
    id: t.exposeString('id'),
    kind: t.expose('kind', { type: StopKinds, nullable: true }),
    effect: t.expose('effect', { type: Effects }),
    text: t.exposeString('text'),
    through: t.expose('through', { type: UnitFunctions, nullable: true }),
    since: t.expose('since', { type: 'Instant', nullable: true }),
    until: t.expose('until', { type: 'Instant', nullable: true }),
    whoCanClear: t.exposeString('whoCanClear'),
    knownAt: t.expose('knownAt', { type: 'Instant' }),
    ageOfData: t.exposeInt('ageOfData', { description: 'Seconds.' }),
  }),
});

const FunctionReadiness = builder.objectRef<OfFunction>('FunctionReadiness');
FunctionReadiness.implement({
  description: 'Whether a unit may be sent to do something, why, until when, who can clear it.',
  fields: (t) => ({
    function: t.expose('function', { type: UnitFunctions }),
    answer: t.expose('answer', { type: Answers }),
    limits: t.expose('limits', { type: 'Json' }),
    limitsText: t.exposeString('limitsText'),
    until: t.expose('until', { type: 'Instant', nullable: true }),
    reasons: t.field({ type: [ReadinessReason], resolve: (each) => each.reasons }),
    moreReasons: t.exposeInt('moreReasons'),
    notes: t.field({ type: [ReadinessReason], resolve: (each) => each.notes }),
    moreNotes: t.exposeInt('moreNotes'),
  }),
});

n.ReadinessNode.implement({
  description: 'What a unit may be sent to do now, read from what stands now.',
  fields: (t) => ({
    event: t.exposeFloat('event', { description: 'It knows of everything up to this event.' }),
    yardName: t.exposeString('yardName', { nullable: true, description: 'Where it is.' }),
    heardAt: t.expose('heardAt', { type: 'Instant', nullable: true }),
    functions: t.field({ type: [FunctionReadiness], resolve: (each) => each.functions }),
    unit: t.field({ type: n.Unit, resolve: loaded }),
  }),
});

/** It weighs what the reasons of all functions may come to. */
const cost = 25;
const reasonsInList = 5;

builder.objectField(n.Unit, 'readiness', (t) =>
  t.field({
    type: n.ReadinessNode,
    args: { function: t.arg({ type: UnitFunctions }) },
    extensions: { cost },
    resolve: loaded,
  }),
);

builder.queryField('readiness', (t) =>
  t.field({
    type: n.ReadinessConnection,
    description: 'Which units may take this call now, and why the others may not; by number.',
    args: {
      ...pageArgs(),
      function: t.arg({ type: UnitFunctions }),
      yardId: t.arg.id({ description: 'Units that are there now.' }),
      answers: t.arg({ type: [Answers] }),
    },
    extensions: { cost: 100 },
    resolve: async (_root, args, { tx, fleetId, nowMs }): Promise<Page<n.Readiness>> => {
      const { after } = asked(args, ['text']);
      const only = args.function ?? null;
      const wanted = {
        function: only,
        yardId: args.yardId == null ? null : idOf(args.yardId),
        answers: args.answers ?? null,
      };
      const page = { after: after?.[0] ?? null, limit: args.first };
      const { event, units, next } = await seekReadiness(tx, fleetId, wanted, page, nowMs);
      return {
        rows: units.map((unit) => ({ event, ...showReadiness(unit, only, nowMs, reasonsInList) })),
        hasNext: next !== null,
        hasPrevious: after !== null,
        keyOf: (row) => [row.number],
      };
    },
  }),
);
