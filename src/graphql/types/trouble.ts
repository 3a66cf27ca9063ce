import { INCIDENTS } from '../../domain/shop/incident.ts';
import { SYMPTOMS } from '../../domain/shop/symptom.ts';
import { TROUBLE_STATES } from '../../domain/shop/trouble.ts';
import { builder, loaded } from '../builder.ts';
import { pageArgs } from '../connection.ts';
import { Somebody } from './job-card.ts';
import * as n from './nodes.ts';

const Symptoms = builder.enumType('SymptomWord', { values: SYMPTOMS });
const Incidents = builder.enumType('IncidentKind', { values: INCIDENTS });
const States = builder.enumType('TroubleState', { values: TROUBLE_STATES });

const Closed = builder.objectRef<NonNullable<n.Symptom['closed']>>('TroubleClosed');
Closed.implement({
  fields: (t) => ({
    how: t.exposeString('how', { description: '`mended` or `unnecessary`' }),
    words: t.exposeString('words'),
    by: t.field({ type: Somebody, resolve: (closed) => closed.by }),
    at: t.expose('at', { type: 'Instant' }),
  }),
});

n.SymptomNode.implement({
  description: 'What a driver noticed, from a closed list, and what came of it.',
  fields: (t) => ({
    id: t.exposeID('symptomId'),
    symptom: t.expose('symptom', { type: Symptoms }),
    means: t.exposeString('means'),
    words: t.exposeString('words'),
    loadOnHook: t.exposeBoolean('loadOnHook'),
    reports: t.exposeInt('reports', { description: 'How often it was told.' }),
    state: t.expose('state', { type: States }),
    outcome: t.exposeString('outcome'),
    cameBackOf: t.exposeID('cameBackOf', {
      nullable: true,
      description: 'The one that was thought to be mended.',
    }),
    noticedAt: t.expose('noticedAt', { type: 'Instant' }),
    toldAt: t.expose('toldAt', { type: 'Instant' }),
    lastToldAt: t.expose('lastToldAt', { type: 'Instant' }),
    closed: t.field({ type: Closed, nullable: true, resolve: (row) => row.closed }),
    unit: t.field({ type: n.Unit, resolve: loaded }),
    asset: t.field({ type: n.Asset, nullable: true, resolve: loaded }),
    card: t.field({ type: n.JobCard, nullable: true, resolve: loaded }),
  }),
});

n.IncidentNode.implement({
  description: 'What stops a unit until it was inspected in full.',
  fields: (t) => ({
    id: t.exposeID('incidentId'),
    kind: t.expose('kind', { type: Incidents }),
    means: t.exposeString('means'),
    words: t.exposeString('words'),
    loadOnHook: t.exposeBoolean('loadOnHook'),
    happenedAt: t.expose('happenedAt', { type: 'Instant' }),
    toldAt: t.expose('toldAt', { type: 'Instant' }),
    by: t.field({ type: Somebody, resolve: (row) => row.by }),
    state: t.expose('state', { type: States }),
    outcome: t.exposeString('outcome'),
    closed: t.field({ type: Closed, nullable: true, resolve: (row) => row.closed }),
    unit: t.field({ type: n.Unit, resolve: loaded }),
    card: t.field({ type: n.JobCard, nullable: true, resolve: loaded }),
  }),
});

type Defect = n.WalkRound['defects'][number];
const Certified = builder.objectRef<NonNullable<Defect['certified']>>('DefectCertified');
Certified.implement({
  fields: (t) => ({
    how: t.exposeString('how', { description: '`repaired` or `unnecessary`' }),
    words: t.exposeString('words'),
    by: t.field({ type: Somebody, resolve: (certified) => certified.by }),
    at: t.expose('at', { type: 'Instant' }),
    cardId: t.exposeID('cardId', { nullable: true }),
  }),
});

const WalkDefect = builder.objectRef<Defect>('WalkDefect');
WalkDefect.implement({
  fields: (t) => ({
    id: t.exposeID('defectId'),
    item: t.exposeString('item'),
    means: t.exposeString('means'),
    words: t.exposeString('words'),
    affectsSafety: t.exposeBoolean('affectsSafety'),
    findingId: t.exposeID('findingId'),
    reports: t.exposeInt('reports'),
    certified: t.field({ type: Certified, nullable: true, resolve: (defect) => defect.certified }),
  }),
});

const Reviewed = builder.objectRef<NonNullable<n.WalkRound['reviewed']>>('WalkRoundReviewed');
Reviewed.implement({
  fields: (t) => ({
    by: t.field({ type: Somebody, resolve: (reviewed) => reviewed.by }),
    at: t.expose('at', { type: 'Instant' }),
  }),
});

n.WalkRoundNode.implement({
  description: "A driver's signed walk round a unit.",
  fields: (t) => ({
    id: t.exposeID('walkRoundId'),
    shift: t.exposeString('shift', { description: '`before` or `after`' }),
    walkedAt: t.expose('walkedAt', { type: 'Instant' }),
    by: t.field({ type: Somebody, resolve: (row) => row.by }),
    via: t.exposeString('via'),
    recordedAt: t.expose('recordedAt', { type: 'Instant' }),
    defects: t.field({
      type: [WalkDefect],
      extensions: { cost: 10 },
      resolve: (row) => row.defects,
    }),
    waitsFor: t.exposeString('waitsFor', { nullable: true }),
    reviewed: t.field({ type: Reviewed, nullable: true, resolve: (row) => row.reviewed }),
    unit: t.field({ type: n.Unit, resolve: loaded }),
  }),
});

builder.objectFields(n.Unit, (t) => ({
  symptoms: t.field({
    type: n.SymptomConnection,
    description: 'Of it and of what is on it, the last told first.',
    args: { ...pageArgs(), open: t.arg.boolean() },
    resolve: loaded,
  }),
  incidents: t.field({
    type: n.IncidentConnection,
    description: 'The last told first.',
    args: { ...pageArgs(), open: t.arg.boolean() },
    resolve: loaded,
  }),
  walkRounds: t.field({
    type: n.WalkRoundConnection,
    description: 'The last one first.',
    args: pageArgs(),
    resolve: loaded,
  }),
}));
