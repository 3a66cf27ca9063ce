import { z } from 'zod';
import { id, instant, name, note } from './common.ts';

export const reason = z.string().trim().min(1).max(2000);
export const meterUnit = z.enum(['hours', 'cycles', 'km']);
export const meterName = z.string().max(40).meta({ example: 'pto_hours' });

export const newHandReading = z
  .strictObject({
    meter: meterName,
    value: z.number().min(0).max(1_000_000_000).meta({
      description: "What the dial shows, in the meter's unit.",
      example: 1234.5,
    }),
    resolution: z
      .number()
      .positive()
      .max(1_000_000)
      .optional()
      .meta({ description: 'One step of the dial. Default: 0.1 hours, 1 cycle, 1 km.' }),
    at: instant.meta({ description: 'When it was read. May be told late.' }),
    readBy: name.meta({ description: 'Name of who read it.' }),
    note: note.optional(),
    meterReplaced: z
      .boolean()
      .default(false)
      .meta({
        description:
          'The first reading of a new dial. Give the last value of the old one before, at an ' +
          'earlier time: what was used between the two is known to nobody.',
      }),
  })
  .meta({ id: 'NewHandReading' });

export const handReading = z
  .object({
    readingId: id,
    assetId: id,
    meter: z.string(),
    unit: meterUnit,
    value: z.number(),
    resolution: z.number(),
    at: z.string(),
    readBy: z.string(),
    note: z.string().nullable(),
    meterReplaced: z.boolean(),
    counts: z.boolean().meta({
      description: 'False where a device counts the meter at that time: it only cross-checks.',
    }),
    verdict: z.string().nullable().meta({
      description: 'What the fold said of it where it is no ordinary rise, as far as folded.',
    }),
    check: z
      .object({
        since: z.string().meta({ description: 'The first of the dial: both start there.' }),
        ledgerValue: z.number().meta({
          description: 'What the dial would show by all use counted and adjusted.',
        }),
        difference: z.number().meta({ description: 'The dial less the ledger.' }),
        knownUntil: z
          .string()
          .nullable()
          .meta({
            description:
              'The last reading of the device where that is before this one: what it has not ' +
              'sent yet is in the difference. Null: none is missing.',
          }),
      })
      .nullable()
      .meta({ description: 'Where a device counts; null where dials alone do.' }),
    recordedAt: z.string(),
    voided: z.object({ by: z.string(), reason: z.string(), at: z.string() }).nullable(),
  })
  .meta({ id: 'HandReading' });

export const handReadingGiven = handReading
  .extend({ duplicate: z.boolean().meta({ description: 'It was known already.' }) })
  .meta({ id: 'HandReadingGiven' });

export const handReadingQuery = z.object({ meter: z.string().max(40).optional() });

/** A person's word that takes something back. */
export const nameAndReason = z
  .strictObject({ name: name.meta({ description: 'Who says so.' }), reason })
  .meta({ id: 'NameAndReason' });
