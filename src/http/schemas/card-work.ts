import { z } from 'zod';
import { stepResults } from '../../domain/shop/merge-steps.ts';
import {
  findGrades,
  MAX_REPLACED,
  MAX_WORDS,
  notDoneReasons,
  sizeUnits,
} from '../../domain/shop/step-command.ts';
import { POINT_TAP_NAMES } from '../../domain/upkeep/point-tap.ts';
import { MAX_COMMANDS, stepVerdicts } from '../../flows/tell-steps.ts';
import { day, id, instant } from './common.ts';
import { cardState } from './job-card.ts';
import { signature } from './signature.ts';

const words = z.string().trim().min(1).max(MAX_WORDS);

const figure = z.number().min(-1_000_000).max(1_000_000);

const stepCommandSaid = z.strictObject({
  clientId: id.meta({ description: 'Made by the phone; the same command again has the same.' }),
  stepId: id,
  result: z.enum(stepResults),
  tap: z.enum(POINT_TAP_NAMES).nullish().meta({ description: 'One of the taps of the step.' }),
  reason: z
    .enum(notDoneReasons)
    .nullish()
    .meta({ description: 'With `not_done`, and only with it.' }),
  words: words.nullish(),
  find: z
    .strictObject({
      grade: z.enum(findGrades),
      point: z.string().max(48).nullish(),
      mendByDay: day.nullish(),
    })
    .nullish()
    .meta({ description: 'With `not_right`, and only with it: it becomes a finding at once.' }),
  measurement: z
    .strictObject({
      part: z.string().max(48).nullish(),
      value: figure.nullish(),
      unit: z.enum(sizeUnits).nullish(),
      gauge: z.enum(['go', 'near', 'no_go']).nullish(),
      tool: z.string().max(120).nullish(),
      wiped: z.boolean().nullish(),
      temperatureC: figure.nullish(),
    })
    .nullish()
    .meta({ description: 'A value with its unit, or on which side of the gauge it fell.' }),
  at: instant,
  atControls: id
    .nullish()
    .meta({ description: 'Who stood at the controls, where the lift was moved.' }),
  replaces: z
    .array(id)
    .max(MAX_REPLACED)
    .optional()
    .meta({ description: 'Commands of others on the step that this one puts right.' }),
});

const { $schema: _, ...documented } = z.toJSONSchema(stepCommandSaid, { io: 'input' });

/**
 * In the contract as a phone must send it; taken whatever it is, because the flow itself judges
 * each, so that one bad command harms no other.
 */
const stepCommand = z.unknown().meta({
  id: 'StepCommand',
  override: ({ jsonSchema }) => void Object.assign(jsonSchema, documented),
});

export const stepCommands = z
  .strictObject({
    signature,
    commands: z.array(stepCommand).max(MAX_COMMANDS),
  })
  .meta({ id: 'StepCommands' });

export const stepsTold = z
  .object({
    state: cardState,
    verdicts: z
      .array(
        z.object({
          clientId: z.string().nullable(),
          verdict: z.enum(stepVerdicts),
          detail: z.string().nullable(),
          errors: z.array(z.object({ path: z.string(), reason: z.string() })).max(100),
          findingId: id.nullable(),
          stopId: id.nullable().meta({ description: 'The stop that the finding has set.' }),
        }),
      )
      .max(MAX_COMMANDS)
      .meta({ description: 'One a command, in the order of the post.' }),
  })
  .meta({ id: 'StepsTold' });

const at = instant.optional().meta({ description: 'When it was, if the phone was offline.' });
const handsOff = {
  signature,
  togetherAndSafe: z
    .boolean()
    .meta({ description: 'No: the unit is stopped until it is. Nobody answers it for another.' }),
  words: words.optional(),
  at,
};

export const begin = z.strictObject({ signature, at }).meta({ id: 'CardBegin' });
export const setDown = z.strictObject(handsOff).meta({ id: 'CardSetDown' });
export const endWork = z
  .strictObject({
    ...handsOff,
    restNotDone: words.optional().meta({ description: 'Why what has no result was not done.' }),
  })
  .meta({ id: 'CardWorkEnd' });
export const saidWithWords = z.strictObject({ signature, words }).meta({ id: 'CardWords' });

const stepIds = z.array(id).min(1).max(200);
export const signedSteps = z
  .strictObject({ signature, stepIds, words: words.optional() })
  .meta({ id: 'SignedSteps' });

export const signOff = z
  .strictObject({ signature, words: words.optional(), restNotDone: words.optional() })
  .meta({ id: 'CardSignOff' });

export const correction = z
  .strictObject({
    signature,
    stepId: id.optional(),
    words: z.string().trim().min(1).max(2000),
    notDone: z
      .array(z.strictObject({ assetId: id, task: z.string().min(1).max(80) }))
      .max(200)
      .default([])
      .meta({ description: 'Tasks that were not done after all; they are due again.' }),
  })
  .meta({ id: 'NewCardCorrection' });

export const lateDecision = z
  .strictObject({
    signature,
    decision: z.enum(['counts', 'does_not_count']),
    words: z.string().trim().min(1).max(2000),
  })
  .meta({ id: 'LateDecision' });

export const following = z
  .strictObject({
    stepIds: stepIds.optional().meta({ description: 'Left out: all that were not done.' }),
    reasons: z.array(z.string().trim().min(1).max(1000)).max(20).default([]),
    visitId: id.optional(),
  })
  .meta({ id: 'FollowingCard' });
