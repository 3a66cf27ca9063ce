import { z } from 'zod';
import { PATTERN_PARTS } from '../../domain/upkeep/compare-patterns.ts';
import { assetKind, id, intMost } from './common.ts';

export const patternVersion = z.coerce.number().int().min(1).max(intMost);

export const newPattern = z
  .strictObject({
    patternId: id.optional().meta({
      description:
        'Given: the next version of this pattern. Left out: another, even if named alike.',
    }),
    document: z.record(z.string(), z.unknown()).meta({
      description:
        'The lift pattern document; with the body at most 2 MiB. Its JSON Schema is at ' +
        '/docs/lift-pattern.schema.json, its words are explained at /docs/lift-patterns.',
    }),
  })
  .meta({ id: 'NewPattern' });
export const pattern = z
  .object({
    patternId: id,
    version: z.int(),
    name: z.string(),
    assetKind,
    sha256: z.string(),
    createdAt: z.string(),
    document: z.record(z.string(), z.unknown()).optional(),
  })
  .meta({ id: 'Pattern' });

/** Most changes in one answer; beyond them their number is told. */
export const changesMost = 1000;
export const patternComparison = z
  .object({
    patternId: id,
    from: z.int(),
    to: z.int(),
    changes: z
      .array(
        z.object({
          part: z.enum(PATTERN_PARTS),
          key: z.string().nullable().meta({
            description: 'Of the service point, task, wear part …; null: of the whole list.',
          }),
          what: z.enum(['added', 'removed', 'changed', 'reordered']),
          field: z.string().nullable().meta({
            description: 'The field of the document; null: the entry as a whole.',
          }),
          words: z.string().meta({ example: 'Crossbar pivot: 4 strokes -> 6 strokes' }),
        }),
      )
      .max(changesMost)
      .meta({ description: 'Empty: nothing is otherwise.' }),
    moreChanges: z.int().meta({ description: 'How many more there are than are shown.' }),
  })
  .meta({ id: 'PatternComparison' });

const followed = z.object({ patternId: id, version: z.int() });
export const patternMove = z
  .object({
    moveId: id,
    from: followed.nullable().meta({ description: 'Null: it followed no pattern before.' }),
    to: followed,
    movedAt: z.string(),
    by: z.string().meta({ description: 'The key that it was done with.' }),
  })
  .meta({ id: 'PatternMove' });
