import { z } from 'zod';
import { PRIOR_LIVES, REMOVAL_REASONS } from '../../domain/wear/part-life.ts';
import { day, id, instant, name, note } from './common.ts';
import { meterUnit, reason } from './hand-reading.ts';
import { namedOrSigned, partKey, pointKey, sayWho, signedBy, useShown } from './wear.ts';

const use = (description: string) =>
  z
    .record(z.string().max(40), z.number().min(0).max(1_000_000))
    .refine((given) => Object.keys(given).length <= 20, 'at most 20 meters')
    .meta({ description, maxProperties: 20 });
const short = z.string().trim().min(1).max(80);
const words = note.min(1);

const origin = {
  makerNumber: short.nullable().optional().meta({ description: "The maker's number of the part." }),
  supplier: name.nullable().optional(),
  lot: short.nullable().optional(),
  warrantyUntilDay: day.nullable().optional(),
  warrantyUntilUse: use('By meter, how much use of the part the warranty covers.').optional(),
};

export const newPartLife = z
  .strictObject({
    part: partKey,
    points: z
      .array(pointKey)
      .min(1)
      .max(20)
      .refine((points) => new Set(points).size === points.length, 'names a point twice')
      .meta({ description: 'Where it sits; more than one: a set that was fitted together.' }),
    fittedAt: instant,
    priorLife: z
      .enum(PRIOR_LIVES)
      .default('new')
      .meta({ description: 'What is known of its use before it was fitted here.' }),
    priorUse: use('By meter, what it was used before, in the unit of the meter.').default({}),
    ...origin,
    fittedBy: name.optional().meta({ description: 'Name of who fitted it.' }),
    signature: signedBy,
    note: words.optional(),
  })
  .refine(namedOrSigned('fittedBy'), { error: sayWho })
  .meta({ id: 'NewPartLife' });

export const partRemoval = z
  .strictObject({
    at: instant,
    why: z.enum(REMOVAL_REASONS).exclude(['moved']),
    removedBy: name.optional().meta({ description: 'Name of who removed it.' }),
    signature: signedBy,
    note: words.optional(),
  })
  .refine(namedOrSigned('removedBy'), { error: sayWho })
  .meta({ id: 'PartRemoval' });

export const partMove = z
  .strictObject({
    at: instant,
    toAssetId: id,
    toPoint: pointKey,
    movedBy: name.optional().meta({ description: 'Name of who moved it.' }),
    signature: signedBy,
    note: words.optional(),
  })
  .refine(namedOrSigned('movedBy'), { error: sayWho })
  .meta({ id: 'PartMove' });

export const partCorrection = z
  .strictObject({
    fittedAt: instant.optional(),
    priorLife: z.enum(PRIOR_LIVES).optional(),
    priorUse: use('By meter, what it was used before.').optional(),
    ...origin,
    removed: z
      .strictObject({ at: instant, why: z.enum(REMOVAL_REASONS) })
      .nullable()
      .optional()
      .meta({ description: 'Null: it was not removed.' }),
    correctedBy: name,
    reason,
  })
  .refine(
    ({ correctedBy: _, reason: __, ...change }) =>
      Object.values(change).some((value) => value !== undefined),
    'say what is otherwise',
  )
  .meta({ id: 'PartCorrection' });

const removed = z
  .object({ at: z.string(), why: z.enum(REMOVAL_REASONS), movedTo: id.nullable() })
  .nullable();
const shownOrigin = {
  fittedAt: z.string(),
  priorLife: z.enum(PRIOR_LIVES),
  priorUse: z.array(useShown).max(20),
  continues: id.nullable().meta({ description: 'The life that it had elsewhere before.' }),
  makerNumber: z.string().nullable(),
  supplier: z.string().nullable(),
  lot: z.string().nullable(),
  removed,
};

export const partLife = z
  .object({
    lifeId: id,
    assetId: id,
    part: z.string(),
    point: z.string(),
    setId: id.nullable(),
    state: z.enum(['fitted', 'removed', 'voided']),
    ...shownOrigin,
    use: z
      .array(
        z.object({
          meter: z.string(),
          unit: meterUnit,
          value: z.number(),
          known: z.enum(['known', 'estimated', 'at_least']),
        }),
      )
      .max(20)
      .meta({ description: 'Use until now, or until it was removed, looked up.' }),
    warranty: z.object({
      state: z.enum(['none', 'runs', 'ended', 'unknown']),
      by: z.string().nullable().meta({ description: 'What ended it: day, or a meter.' }),
      untilDay: z.string().nullable(),
      untilUse: z.array(useShown).max(20),
    }),
    recordedAt: z.string(),
  })
  .meta({ id: 'PartLife' });

export const partLifeWithEntries = partLife
  .extend({
    entries: z
      .array(
        z.object({
          entryNo: z.int(),
          kind: z.enum(['fitted', 'removed', 'corrected', 'voided']),
          ...shownOrigin,
          warrantyUntilDay: z.string().nullable(),
          warrantyUntilUse: z.array(useShown).max(20),
          words: z.string().nullable(),
          personId: id.nullable(),
          by: z.string(),
          recordedAt: z.string(),
        }),
      )
      .max(1_000)
      .meta({ description: 'All that was ever said of it; the last one holds.' }),
  })
  .meta({ id: 'PartLifeWithEntries' });

export const partLives = z.object({ lives: z.array(partLife).max(20) }).meta({ id: 'PartLives' });
export const movedPart = z.object({ from: partLife, to: partLife }).meta({ id: 'MovedPart' });
export const partLifeQuery = z.object({
  part: z.string().max(80).optional(),
  point: z.string().max(80).optional(),
  fitted: z.enum(['true', 'false']).optional(),
});
