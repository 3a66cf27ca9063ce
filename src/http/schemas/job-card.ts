import { z } from 'zod';
import { lackCodes, signedActs } from '../../domain/shop/card-signing.ts';
import { MAX_STEPS } from '../../domain/shop/card-steps.ts';
import { cardKinds, cardStates } from '../../domain/shop/job-card.ts';
import { stepResults } from '../../domain/shop/merge-steps.ts';
import { stepWorks } from '../../domain/shop/step-work.ts';
import { MAX_POINTS } from '../../domain/upkeep/task-rule.ts';
import { id } from './common.ts';

export const cardState = z.enum(cardStates).meta({ id: 'JobCardState' });
export const cardKind = z.enum(cardKinds).meta({ id: 'JobCardKind' });
const key = z.string().min(1).max(80);
const reason = z.string().trim().min(1).max(1000);
const somebody = z.object({ personId: id, name: z.string() });

export const newJobCard = z
  .strictObject({
    unitId: id,
    kind: cardKind.default('upkeep'),
    tasks: z
      .array(z.strictObject({ assetId: id, task: key }))
      .max(200)
      .optional()
      .meta({
        description:
          'Left out, with no points and findings: what is in its window or past its limit.',
      }),
    points: z
      .array(z.strictObject({ assetId: id, point: key }))
      .max(MAX_POINTS)
      .default([])
      .meta({ description: 'Service points to be looked at besides.' }),
    findings: z
      .array(id)
      .max(50)
      .default([])
      .meta({ description: 'Open findings that are to be mended, a step each.' }),
    reasons: z.array(reason).max(20).default([]),
    visitId: id.optional(),
    follows: id.optional().meta({ description: 'The card that left this work.' }),
  })
  .meta({ id: 'NewJobCard' });

const cardFields = {
  cardId: id,
  unitId: id,
  kind: cardKind,
  state: cardState,
  reasons: z.array(z.string()).max(40),
  tasks: z
    .array(
      z.object({
        assetId: id,
        task: z.string(),
        name: z.string(),
        why: z.array(z.string()).max(40),
      }),
    )
    .max(MAX_STEPS),
  cause: z.object({ kind: z.string(), id: z.string() }).nullable(),
  visitId: id.nullable(),
  follows: id.nullable(),
  writtenUpAt: z.string(),
  writtenUpBy: z.string(),
  begunAt: z.string().nullable(),
  togetherAndSafe: z
    .boolean()
    .nullable()
    .meta({ description: 'What was answered when hands were last taken off.' }),
  restNotDone: z.string().nullable().meta({ description: 'Why what has no result was not done.' }),
  workEndedAt: z.string().nullable(),
  endedByFinding: id.nullable(),
  closedAt: z.string().nullable(),
  seal: z
    .string()
    .nullable()
    .meta({ description: 'SHA-256 over the whole card as it was signed off, in hex.' }),
};
export const jobCard = z.object(cardFields).meta({ id: 'JobCard' });

const liftPosition = z
  .object({
    fold: z.string().optional(),
    reach: z.string().optional(),
    height: z.string().optional(),
    arms: z.string().optional(),
    crossbar: z.string().optional(),
    blocked: z.boolean().optional(),
  })
  .meta({ id: 'LiftPosition', description: 'An axis that is left out does not matter.' });

const said = z
  .object({
    clientId: id,
    stepId: id,
    result: z.enum(stepResults),
    tap: z.string().nullable(),
    reason: z.string().nullable(),
    words: z.string().nullable(),
    measurement: z.record(z.string(), z.unknown()).nullable(),
    findingId: id.nullable(),
    at: z.string().meta({ description: 'As it counts.' }),
    saidAt: z.string().meta({ description: 'As the phone said.' }),
    receivedAt: z.string(),
    by: somebody,
    trainee: z.boolean(),
    atControls: id.nullable(),
    replaces: z.array(id).max(20),
    late: z.boolean().meta({ description: 'It came when the card was closed.' }),
    review: z.enum(['waits', 'counts', 'does_not_count']).nullable(),
  })
  .meta({ id: 'StepSaid' });

export const lateCommand = said.extend({ cardId: id, unitId: id }).meta({ id: 'LateStepCommand' });

const step = z
  .object({
    stepId: id,
    stepNo: z.int(),
    work: z.enum(stepWorks),
    assetId: id,
    assetKind: z.string(),
    pointKey: z.string().nullable(),
    tasks: z.array(z.string()).max(200),
    findingId: id.nullable().meta({ description: 'What it mends.' }),
    title: z.string(),
    side: z.string().nullable(),
    place: z.string().nullable(),
    points: z
      .array(z.object({ key: z.string(), name: z.string(), side: z.string(), place: z.string() }))
      .max(MAX_POINTS)
      .meta({ description: 'Of a step over a whole asset: the places that it takes in.' }),
    position: liftPosition,
    move: z
      .object({
        from: liftPosition,
        to: liftPosition,
        blocksOut: z.boolean(),
        blocksIn: z.boolean(),
      })
      .nullable(),
    how: z.array(z.string()).max(20),
    tool: z.string().nullable(),
    fits: z.string().nullable(),
    torque: z.object({ nm: z.number(), thread: z.string() }).nullable(),
    fastener: z
      .object({
        head: z.string(),
        count: z.int(),
        nut: z.boolean(),
        cleanRecess: z.boolean(),
        order: z.string(),
        threadLocker: z.string().optional(),
      })
      .nullable(),
    lubricant: z.string().nullable(),
    lubricantCode: z.string().nullable(),
    quantity: z.object({ amount: z.number(), unit: z.string() }).nullable(),
    limits: z
      .array(
        z.object({
          key: z.string(),
          name: z.string(),
          unit: z.string(),
          least: z.number().nullable(),
          most: z.number().nullable(),
        }),
      )
      .max(20),
    wearParts: z
      .array(
        z.object({
          key: z.string(),
          name: z.string(),
          unit: z.string(),
          nominal: z.number().nullable(),
          limit: z.number().nullable(),
        }),
      )
      .max(200)
      .meta({ description: 'Wear parts that are measured here.' }),
    lastReadings: z
      .array(
        z.object({
          part: z.string().nullable(),
          value: z.number().nullable(),
          unit: z.string().nullable(),
          gauge: z.string().nullable(),
          at: z.string(),
        }),
      )
      .max(500)
      .meta({ description: 'What was read there before, of the place and of each wear part.' }),
    gloves: z.enum(['wear', 'never']).nullable(),
    taps: z.array(z.string()).max(60).meta({ description: 'What one tap can say of it.' }),
    doneWhen: z.string().nullable(),
    usualMistake: z.string().nullable(),
    oftenMissed: z.boolean(),
    liftCritical: z.boolean(),
    endsCardIfUnfit: z.boolean(),
    needsControls: z
      .boolean()
      .meta({ description: 'The lift moves: one named person stands at the controls.' }),
    cautions: z.array(z.string()).max(60).meta({ description: 'Show them with the work.' }),
    result: z.enum(stepResults).nullable(),
    disputed: z
      .boolean()
      .meta({ description: 'Two people say otherwise and neither put the other right.' }),
    doneAt: z.string().nullable(),
    needsCheck: z.boolean(),
    checked: z
      .enum(['check', 'self_check'])
      .nullable()
      .meta({ description: '`self_check`: declared by the doer, in a one-man fleet.' }),
    needsCountersign: z.boolean(),
    countersigned: z.boolean(),
    said: z.array(said).max(10_000),
  })
  .meta({ id: 'JobCardStep' });

export const wholeJobCard = z
  .object({
    ...cardFields,
    sealHolds: z
      .boolean()
      .nullable()
      .meta({ description: 'Whether what is stored still gives the seal.' }),
    steps: z.array(step).max(MAX_STEPS),
    lacking: z
      .array(z.object({ code: z.enum(lackCodes), stepId: id }))
      .max(2 * MAX_STEPS)
      .meta({ description: 'What must be there before it can be signed off.' }),
    signatures: z
      .array(
        z.object({
          signatureId: id,
          act: z.enum(signedActs),
          stepId: id.nullable(),
          by: somebody,
          via: z.enum(['pin', 'sign_in']),
          togetherAndSafe: z.boolean().nullable(),
          words: z.string().nullable(),
          at: z.string(),
          recordedAt: z.string(),
        }),
      )
      .max(10_000),
    corrections: z
      .array(
        z.object({
          correctionId: id,
          stepId: id.nullable(),
          clientId: id.nullable(),
          decision: z.enum(['counts', 'does_not_count']).nullable(),
          words: z.string(),
          tasks: z.array(z.object({ assetId: id, task: z.string() })).max(MAX_STEPS),
          by: somebody,
          recordedAt: z.string(),
        }),
      )
      .max(10_000),
  })
  .meta({ id: 'WholeJobCard' });
