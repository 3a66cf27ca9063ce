import { z } from 'zod';
import { READINESS_ANSWERS } from '../../domain/shop/readiness.ts';
import { REASON_EFFECTS, REASON_SOURCES } from '../../domain/shop/readiness-reason.ts';
import { STOP_KINDS } from '../../domain/shop/stop.ts';
import { cursor, id, pageQuery } from './common.ts';
import { shownLimits, unitFunction } from './stop.ts';

export const readinessAnswer = z.enum(READINESS_ANSWERS).meta({ id: 'ReadinessAnswer' });

const reason = z
  .object({
    what: z.enum(REASON_SOURCES),
    id: z.string().meta({ description: "Of the stop or finding; of a task 'assetId key'." }),
    kind: z.enum(STOP_KINDS).nullable().meta({ description: 'Of a stop: whose it is.' }),
    effect: z.enum(REASON_EFFECTS),
    text: z.string(),
    through: unitFunction.nullable().meta({
      description: 'It is of that function, on which this one rests.',
    }),
    since: z.string().nullable(),
    until: z.string().nullable().meta({ description: 'Null: nobody has said.' }),
    whoCanClear: z.string(),
    knownAt: z.string().meta({ description: 'Up to when what it rests on is known.' }),
    ageOfData: z.int().meta({ description: 'Seconds since then.' }),
  })
  .meta({ id: 'ReadinessReason' });

export const functionReadiness = z
  .object({
    function: unitFunction,
    answer: readinessAnswer,
    limits: shownLimits.meta({ description: 'Of all its reasons together.' }),
    limitsText: z.string(),
    until: z.string().nullable().meta({
      description: 'When all that decides is expected to be over; null: nobody has said.',
    }),
    reasons: z.array(reason).max(500),
    moreReasons: z.int(),
    notes: z.array(reason).max(500).meta({ description: 'To be known; they take nothing away.' }),
    moreNotes: z.int(),
  })
  .meta({ id: 'FunctionReadiness' });

const shape = {
  unitId: id,
  number: z.string(),
  yardId: id.nullable().meta({ description: 'Where it is, as far as is known.' }),
  yardName: z.string().nullable(),
  heardAt: z.string().nullable().meta({ description: 'When its gateway was last heard.' }),
  functions: z.array(functionReadiness).max(5),
};
const event = z.int().meta({
  description: 'It knows of everything up to this event, and of what came since as far as it has.',
});
export const unitReadiness = z
  .object({ event, at: z.string(), ...shape })
  .meta({ id: 'UnitReadiness' });
export const readinessPage = z
  .object({
    event,
    at: z.string(),
    items: z.array(z.object(shape).meta({ id: 'ReadinessOfUnit' })).max(500),
    next: cursor.optional(),
  })
  .meta({ id: 'ReadinessPage' });

export const readinessQuery = pageQuery.extend({
  cursor: cursor.optional(),
  function: unitFunction.optional().meta({ description: 'Only of this one.' }),
  yardId: id.optional().meta({ description: 'Units that are there now.' }),
  answer: z
    .string()
    .max(60)
    .transform((text) => text.split(','))
    .pipe(z.array(readinessAnswer).min(1).max(5))
    .optional()
    .meta({
      description:
        'One or more answers, with commas; units with one of them for `function`, or for any.',
      type: 'string',
      maxLength: 60,
    }),
});
