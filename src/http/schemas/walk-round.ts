import { z } from 'zod';
import { WALK_ITEMS } from '../../domain/shop/walk-item.ts';
import { id, instant } from './common.ts';
import { signature } from './signature.ts';

export const walkItem = z.enum(WALK_ITEMS).meta({ id: 'WalkItem' });
const words = z.string().trim().max(2000).default('');

export const walkItemList = z
  .object({
    items: z
      .array(
        z.object({
          item: walkItem,
          words: z.string(),
          source: z
            .string()
            .meta({ description: 'Where it comes from; maker and law come first.' }),
        }),
      )
      .max(WALK_ITEMS.length),
  })
  .meta({ id: 'WalkItemList' });

const newDefect = z
  .strictObject({
    item: walkItem,
    words,
    affectsSafety: z.boolean().meta({
      description:
        'It would affect safety or lead to a breakdown: what it serves is stopped until it is ' +
        'certified.',
    }),
  })
  .meta({ id: 'NewWalkDefect' });

const each = (defects: readonly { item: string }[]) =>
  new Set(defects.map(({ item }) => item)).size === defects.length;

export const newWalkRound = z
  .strictObject({
    shift: z.enum(['before', 'after']).meta({ description: 'Before a shift, or after it.' }),
    defects: z
      .array(newDefect)
      .max(WALK_ITEMS.length)
      .refine(each, 'names an item twice')
      .default([])
      .meta({ description: 'None: everything was looked at and nothing found.' }),
    walkedAt: instant.optional().meta({ description: 'Default: now.' }),
    signature: signature.meta({ description: 'The driver who walked round it.' }),
  })
  .meta({ id: 'NewWalkRound' });

const person = z.object({ personId: id, name: z.string() });
const waitsFor = z.enum(['certification', 'review']).nullable().meta({
  description: 'First each defect is certified, then the next driver reviews; null: for nothing.',
});

export const walkRound = z
  .object({
    walkRoundId: id,
    unitId: id,
    shift: z.enum(['before', 'after']),
    walkedAt: z.string(),
    by: person,
    via: z.enum(['pin', 'sign_in']),
    recordedAt: z.string(),
    defects: z
      .array(
        z.object({
          defectId: id,
          item: walkItem,
          means: z.string(),
          words: z.string(),
          affectsSafety: z.boolean(),
          findingId: id,
          reports: z.int().meta({ description: 'How often it was told while open.' }),
          certified: z
            .object({
              how: z.enum(['repaired', 'unnecessary']),
              words: z.string(),
              by: person,
              at: z.string(),
              cardId: id.nullable(),
            })
            .nullable(),
        }),
      )
      .max(WALK_ITEMS.length),
    waitsFor,
    reviewed: z.object({ by: person, at: z.string() }).nullable(),
  })
  .meta({ id: 'WalkRound' });

export const certification = z
  .strictObject({
    how: z.enum(['repaired', 'unnecessary']),
    defectIds: z
      .array(id)
      .min(1)
      .max(WALK_ITEMS.length)
      .optional()
      .meta({ description: 'Left out: all that nobody has certified.' }),
    words: z
      .string()
      .trim()
      .min(1)
      .max(2000)
      .meta({ description: 'What was repaired, or why no repair is necessary.' }),
    cardId: id.optional().meta({ description: 'The job card on which it was repaired.' }),
    signature,
  })
  .meta({ id: 'WalkRoundCertification' });

export const review = z
  .strictObject({ signature: signature.meta({ description: 'The next driver.' }) })
  .meta({ id: 'WalkRoundReview' });
