import { greaseTask, patternOf, startMs, text } from '../helpers/fleet.ts';
import type { Making } from './schema-values.ts';

const hourMs = 3_600_000;
const at = ({ random }: Making) => text(startMs - random.int(1, 500) * hourMs);

const questions = [
  '{ __typename }',
  '{ units(first: 3) { nodes { number } } }',
  '{ units { edges { cursor node { id number } } pageInfo { hasNextPage endCursor } } }',
  '{ nothing }',
  'query q($n: Int) { units(first: $n) { nodes { number } } }',
  'mutation { x }',
  '{ a: units { nodes { id } } b: units { nodes { id } } }',
  '{ __schema { types { name fields { name } } } }',
  '{ units(first: 100000) { nodes { number } } }',
  `{ ${'units { nodes { '.repeat(20)} id ${'} }'.repeat(20)} }`,
  '{',
  '',
];

/**
 * Bodies of operations that ask for more than a schema can say, so that some of what is tried goes
 * well.
 */
export const bodyExamples: Record<string, (making: Making) => unknown> = {
  'POST /v1/patterns': ({ random, known }) => ({
    document: patternOf({ ...greaseTask, every: { pto_hours: random.int(1, 90) } }),
    ...(random.chance(0.4) ? { patternId: known('patternId') } : {}),
  }),
  'POST /v1/gateways/{gatewayId}/counters': ({ random }) => ({
    counters: [{ counter: `c${random.int(1, 99)}`, meter: 'lift_cycles', resolution: 1 }],
  }),
  'POST /v1/assets/{assetId}/hand-readings': (making) => ({
    meter: 'pto_hours',
    value: making.random.int(1, 5_000),
    at: at(making),
    readBy: 'A. Penn',
  }),
  'POST /v1/assets/{assetId}/adjustments': (making) => ({
    meter: making.random.pick(['lift_cycles', 'reach_cycles', 'pto_hours']),
    amount: making.random.int(-3, 40),
    at: at(making),
    name: 'A. Penn',
    reason: 'counted by hand',
  }),
  'POST /v1/gateways/{gatewayId}/decisions': ({ random }) => ({
    counter: random.pick(['pto_hours', 'lifts']),
    epoch: 0,
    seq: random.int(0, 60),
    decision: random.pick(['first_stands', 'this_stands', 'neither', 'counts', 'does_not_count']),
    name: 'A. Penn',
    reason: 'looked at the dial',
  }),
  'POST /v1/installs/swap': (making) => ({
    unitIds: [making.known('unitId'), making.known('unitId')],
    what: 'lift',
    at: at(making),
    reason: 'mixed up',
  }),
  'POST /v1/people/{personId}/pin': ({ random }) => ({ newPin: String(random.int(2_000, 9_999)) }),
  'POST /v1/people/{personId}/sign-ins': ({ random }) => ({
    pin: String(random.int(2_000, 2_002)),
  }),
  'POST /v1/people/{personId}/competences': (making) => ({
    competence: making.random.pick(['lift_work', 'lead', 'driving']),
    evidence: 'seen at work',
    from: at(making),
  }),
  'POST /v1/imports': ({ random }) => ({
    dryRun: random.chance(0.5),
    yards: `name,time zone\nImported ${random.int(1, 50)},UTC\n`,
    units: `number,home yard\nI${random.int(1, 50)},Imported ${random.int(1, 50)}\n`,
  }),
  'POST /v1/readings': ({ random }) => ({
    streams: [
      {
        counter: random.pick(['pto_hours', 'lifts', 'c1']),
        epoch: random.int(0, 1),
        firstSeq: random.int(0, 60),
        at: [startMs - 1_000, startMs].map((ms) => ms + random.int(-9, 9) * hourMs),
        raw: [random.int(0, 50), random.int(0, 99)],
      },
    ],
  }),
  'POST /graphql': ({ random }) => ({
    query: random.pick(questions),
    ...(random.chance(0.3) ? { variables: { n: random.pick([1, 0, -1, 'x', 1e9]) } } : {}),
  }),
};
