import { z } from 'zod';
import { id, instant, name } from './common.ts';
import { meterUnit, reason } from './hand-reading.ts';

const value = z.object({ at: z.string(), raw: z.int() });

export const openQuestion = z
  .object({
    kind: z.enum(['conflict', 'jump']).meta({
      description:
        '`conflict`: a number came with two values; it counts for nothing until decided. ' +
        '`jump`: a reading that does not fit what stood before it.',
    }),
    counter: z.string(),
    epoch: z.int(),
    seq: z.int(),
    meter: z.string(),
    unit: meterUnit,
    at: z.string(),
    raw: z.int(),
    first: value.nullable().meta({ description: 'Of a conflict: what came first.' }),
    against: z.int().nullable().meta({ description: 'Of a jump: the last accepted value.' }),
    amount: z.number().nullable().meta({
      description: 'Of a jump: the use if it counts. Null where it falls: that can be no use.',
    }),
    verdict: z.string().nullable().meta({
      description: 'Of a jump: `set_aside` while what follows is awaited, else `rebase`.',
    }),
  })
  .meta({ id: 'OpenQuestion' });

const word = z.enum(['first_stands', 'this_stands', 'neither', 'counts', 'does_not_count']);

export const newDecision = z
  .strictObject({
    counter: z.string().max(40),
    epoch: z.int().min(0).max(2_147_483_647),
    seq: z.int().min(0),
    decision: word.meta({
      description:
        'Of a conflict: `first_stands`, `this_stands` or `neither`. Of a jump: `counts`, the ' +
        'whole rise as use, or `does_not_count`.',
    }),
    raw: z.int().min(0).optional().meta({
      description: 'With `this_stands`, where a number came with several values: which one.',
    }),
    at: instant.optional().meta({ description: 'The same, by its time.' }),
    name: name.meta({ description: 'Who says so.' }),
    reason,
  })
  .meta({ id: 'NewDecision' });

export const decision = z
  .object({
    decisionId: id,
    counter: z.string(),
    epoch: z.int(),
    seq: z.int(),
    meter: z.string(),
    unit: meterUnit,
    subject: z.enum(['conflict', 'jump']),
    decision: word,
    at: z.string(),
    raw: z.int(),
    against: z.int().nullable(),
    amount: z.number().nullable().meta({ description: 'What then counts.' }),
    name: z.string(),
    reason: z.string(),
    recordedBy: z.string(),
    recordedAt: z.string(),
  })
  .meta({ id: 'Decision' });
