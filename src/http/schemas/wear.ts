import { z } from 'zod';
import { CHAIN_DAMAGES } from '../../domain/wear/chain.ts';
import { HOOK_DAMAGES } from '../../domain/wear/hook.ts';
import { HOSE_DAMAGES } from '../../domain/wear/hose.ts';
import { GAUGE_STEPS, MEASURE_UNITS, MEASURE_VERDICTS } from '../../domain/wear/measurement.ts';
import { REMOVAL_DECISIONS } from '../../domain/wear/removal.ts';
import { ROPE_DAMAGES, ROPE_KINDS } from '../../domain/wear/rope.ts';
import { FIBRE_DAMAGES, FIBRE_ROPES, SLING_DAMAGES } from '../../domain/wear/sling.ts';
import { id, instant, name, note } from './common.ts';
import { meterUnit, reason } from './hand-reading.ts';
import { signature } from './signature.ts';

/** Who did it: named, or signed; a signature says more than a name. */
export const signedBy = signature
  .optional()
  .meta({ description: 'Who did it signs, or is only named: one of the two.' });
export const namedOrSigned =
  (field: string) =>
  (body: object): boolean => {
    const said = body as Record<string, unknown>;
    return (said[field] === undefined) !== (said.signature === undefined);
  };
export const sayWho = 'name who did it, or have them sign';

export const pointKey = z.string().min(1).max(80).meta({ description: 'Service point.' });
export const partKey = z.string().min(1).max(80).meta({ description: 'Wear part.' });
const size = z.number().min(0).max(1_000_000);

export const useShown = z
  .object({ meter: z.string(), unit: meterUnit, value: z.number() })
  .meta({ id: 'UseThen' });
const voided = z.object({ by: z.string(), reason: z.string(), at: z.string() }).nullable();

export const newMeasurement = z
  .strictObject({
    point: pointKey,
    part: partKey.optional().meta({
      description: 'The wear part; left out: the place itself, held against its own limits.',
    }),
    limit: z.string().min(1).max(80).optional().meta({
      description: 'Which limit of the place; left out: the only one in such a unit.',
    }),
    value: size.optional().meta({
      description: 'A size, at most three decimals. Either this or `gauge`.',
      example: 7.85,
    }),
    unit: z.enum(MEASURE_UNITS).optional(),
    error: size.optional().meta({
      description: 'What the reading can be wrong by, in `unit`; default: as the pattern says.',
    }),
    gauge: z.enum(GAUGE_STEPS).optional().meta({ description: 'What a go/no-go gauge says.' }),
    tool: name.optional().meta({ description: 'What it was measured with.' }),
    wiped: z.boolean().optional().meta({ description: 'Whether the place was wiped first.' }),
    temperatureC: z.number().min(-100).max(300).optional(),
    at: instant.meta({ description: 'When it was measured. May be told late.' }),
    measuredBy: name.optional().meta({ description: 'Name of who measured.' }),
    signature: signedBy,
    note: note.min(1).optional(),
  })
  .refine((body) => (body.value === undefined) !== (body.gauge === undefined), {
    error: 'say either value or gauge',
  })
  .refine((body) => (body.value === undefined) === (body.unit === undefined), {
    error: 'a value has a unit',
  })
  .refine(namedOrSigned('measuredBy'), { error: sayWho })
  .meta({ id: 'NewMeasurement' });

export const measurement = z
  .object({
    measurementId: id,
    assetId: id,
    point: z.string(),
    part: z.string().nullable(),
    lifeId: id.nullable().meta({ description: 'The part that was in that place then.' }),
    at: z.string(),
    value: z.number().nullable(),
    unit: z.enum(MEASURE_UNITS).nullable(),
    error: z.number().nullable(),
    gauge: z.enum(GAUGE_STEPS).nullable(),
    tool: z.string().nullable(),
    wiped: z.boolean().nullable(),
    temperatureC: z.number().nullable(),
    note: z.string().nullable(),
    verdict: z.enum(MEASURE_VERDICTS),
    rule: z.string().meta({ description: 'Which rule said so.' }),
    heldAgainst: z
      .object({
        unit: z.enum(MEASURE_UNITS),
        nominal: z.number().nullable(),
        near: z.number().nullable(),
        limit: z.number().nullable(),
        key: z.string().nullable().meta({ description: 'Which limit of the place.' }),
        least: z.number().nullable(),
        most: z.number().nullable(),
      })
      .nullable(),
    useThen: z.array(useShown).max(20).meta({
      description: 'What the meters stood at then, as it was known when this was recorded.',
    }),
    state: z.enum(['counts', 'questioned', 'confirmed', 'withdrawn']).meta({
      description: 'questioned: the part seems to have grown back, and a person must say.',
    }),
    questionedAgainst: id.nullable(),
    decisions: z
      .array(
        z.object({
          decision: z.enum(['confirmed', 'withdrawn']),
          by: z.string(),
          reason: z.string(),
          at: z.string(),
        }),
      )
      .max(2),
    findingId: id.nullable(),
    stepId: id.nullable(),
    personId: id.nullable(),
    measuredBy: z.string(),
    recordedAt: z.string(),
  })
  .meta({ id: 'Measurement' });

export const measurementQuery = z.object({
  point: z.string().max(80).optional(),
  part: z.string().max(80).optional(),
  questioned: z.enum(['true', 'false']).optional(),
});

export const newTakeUp = z
  .strictObject({
    point: pointKey,
    part: partKey.optional(),
    at: instant,
    turns: z
      .number()
      .min(-100)
      .max(100)
      .refine((turns) => turns !== 0, 'is no turn')
      .meta({
        description: 'Turns, at most three decimals; negative when let out.',
        example: 0.25,
      }),
    gapBefore: size.optional(),
    gapAfter: size.optional(),
    unit: z.enum(['mm', 'in']).optional(),
    error: size.optional().meta({ description: 'What each gap can be wrong by, in `unit`.' }),
    doneBy: name.optional().meta({ description: 'Name of who turned it.' }),
    signature: signedBy,
    note: note.min(1).optional(),
  })
  .refine(
    ({ gapBefore, gapAfter, unit, error }) =>
      unit === undefined
        ? gapBefore === undefined && gapAfter === undefined && error === undefined
        : gapBefore !== undefined || gapAfter !== undefined,
    { error: 'a gap has a unit, and a unit a gap' },
  )
  .refine(namedOrSigned('doneBy'), { error: sayWho })
  .meta({ id: 'NewTakeUp' });

export const takeUp = z
  .object({
    takeUpId: id,
    assetId: id,
    point: z.string(),
    part: z.string().nullable(),
    at: z.string(),
    turns: z.number(),
    gapBefore: z.number().nullable(),
    gapAfter: z.number().nullable(),
    unit: z.enum(['mm', 'in']).nullable(),
    error: z.number().nullable(),
    useThen: z.array(useShown).max(20),
    note: z.string().nullable(),
    personId: id.nullable(),
    doneBy: z.string(),
    recordedAt: z.string(),
    voided,
  })
  .meta({ id: 'TakeUp' });

const inch = (description: string) =>
  z.number().positive().max(1_000).optional().meta({ description });
const count = z.int().min(0).max(1_000).optional();
const seen = <T extends readonly [string, ...string[]]>(damages: T) =>
  z.array(z.enum(damages)).max(damages.length).default([]);

const ropeLook = z.strictObject({
  subject: z.literal('rope'),
  kind: z.enum(ROPE_KINDS),
  nominal: z.number().positive().max(1_000).meta({
    description: 'Nominal diameter, at most four decimals, in any one unit for both.',
    example: 0.375,
  }),
  measured: inch('The smallest of three places, each measured twice across the crowns.'),
  inLay: count.meta({ description: 'Broken wires in one lay.' }),
  inStrand: count.meta({ description: 'Broken wires in one strand of one lay.' }),
  inSixDiameters: count,
  inThirtyDiameters: count,
  atEnd: count,
  damages: seen(ROPE_DAMAGES),
  local: z.boolean().default(false).meta({ description: 'All of it could be cut off at an end.' }),
  wrapsLeft: count.meta({ description: 'Wraps left on the drum at its lowest after a cut-off.' }),
});
const fibreLook = z.strictObject({
  subject: z.literal('fibre_rope'),
  kind: z.enum(FIBRE_ROPES),
  brokenPercent: z.int().min(0).max(100).optional(),
  damages: seen(FIBRE_DAMAGES),
});
const chainLook = z.strictObject({
  subject: z.literal('chain'),
  size64: z.int().min(1).max(640).meta({ description: '64ths of an inch: 24 is 3/8.' }),
  thinnest: inch('Inches at the thinnest point of any link.'),
  lengthNew: inch('A run of links when new.'),
  lengthNow: inch('The same run now.'),
  damages: seen(CHAIN_DAMAGES),
});
const hookLook = z.strictObject({
  subject: z.literal('hook'),
  throatNew: inch('Inches; what it was when new.'),
  throatNow: inch('Inches.'),
  saddleNew: inch('Thickness at the saddle when new, inches.'),
  saddleNow: inch('The same now.'),
  damages: seen(HOOK_DAMAGES),
});
const slingLook = z.strictObject({
  subject: z.literal('sling'),
  thicknessNew: inch('In any one unit.'),
  thicknessNow: inch('Where it is most rubbed.'),
  damages: seen(SLING_DAMAGES),
});
const hoseLook = z.strictObject({
  subject: z.literal('hose'),
  months: z.int().min(0).max(1_200).optional().meta({ description: 'Age with storage.' }),
  damages: seen(HOSE_DAMAGES),
});

const fields = (look: { shape: object }) =>
  Object.keys(look.shape).filter((field) => field !== 'subject');
/** What is asked for of each; what nobody says is null. */
export const lookFields = {
  rope: fields(ropeLook),
  fibre_rope: fields(fibreLook),
  chain: fields(chainLook),
  hook: fields(hookLook),
  sling: fields(slingLook),
  hose: fields(hoseLook),
} as const;

export const newRemovalCheck = z
  .strictObject({
    point: pointKey,
    at: instant,
    look: z.discriminatedUnion('subject', [
      ropeLook,
      fibreLook,
      chainLook,
      hookLook,
      slingLook,
      hoseLook,
    ]),
    checkedBy: name.optional().meta({ description: 'Name of who looked.' }),
    signature: signedBy,
    note: note.min(1).optional(),
  })
  .refine(namedOrSigned('checkedBy'), { error: sayWho })
  .meta({ id: 'NewRemovalCheck' });
export type RemovalLookBody = z.output<typeof newRemovalCheck>['look'];

export const removalCheck = z
  .object({
    checkId: id,
    assetId: id,
    point: z.string(),
    at: z.string(),
    subject: z.enum(['rope', 'fibre_rope', 'chain', 'hook', 'sling', 'hose']),
    look: z.record(z.string(), z.unknown()).meta({
      description: 'What was seen; diameters and the like in ten-thousandths.',
    }),
    decision: z.enum(REMOVAL_DECISIONS),
    fired: z
      .array(
        z.object({
          rule: z.string(),
          decision: z.enum(REMOVAL_DECISIONS),
          benchmark: z.string(),
          words: z.string(),
        }),
      )
      .max(40)
      .meta({ description: 'Every rule that spoke, the strictest first.' }),
    cutOffMayCure: z.boolean(),
    caution: z.string(),
    useThen: z.array(useShown).max(20),
    findingId: id.nullable(),
    stepId: id.nullable(),
    note: z.string().nullable(),
    personId: id.nullable(),
    checkedBy: z.string(),
    recordedAt: z.string(),
    voided,
  })
  .meta({ id: 'RemovalCheck' });

export const placeQuery = z.object({ point: z.string().max(80).optional() });
export const measurementWord = z
  .strictObject({ reason, signature })
  .meta({ id: 'MeasurementWord', description: 'Who can do lift work signs.' });
