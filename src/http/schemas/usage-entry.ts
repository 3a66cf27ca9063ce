import { z } from 'zod';
import { id, instant, name } from './common.ts';
import { meterName, meterUnit, reason } from './hand-reading.ts';

export const newAdjustment = z
  .strictObject({
    meter: meterName,
    amount: z.number().min(-1_000_000_000).max(1_000_000_000).meta({
      description: "In the meter's unit; below zero takes use away.",
      example: -2.5,
    }),
    at: instant.meta({ description: 'From when on the use counts.' }),
    name: name.meta({ description: 'Who says so.' }),
    reason,
    handReadingId: id.optional().meta({ description: 'The reading by hand that showed it.' }),
  })
  .meta({ id: 'NewAdjustment' });

const entryKind = z.enum(['closed_day_changed', 'adjustment', 'decision']);

export const usageEntry = z
  .object({
    entryId: z.int(),
    assetId: id,
    meter: z.string(),
    unit: meterUnit,
    kind: entryKind.meta({
      description: '`adjustment` moves the use; the others record how it was moved.',
    }),
    day: z.string(),
    at: z.string().nullable(),
    amount: z.number(),
    grains: z.int().meta({ description: 'The same in seconds, cycles or metres: exact.' }),
    reason: z.string(),
    name: z.string().nullable(),
    handReadingId: id.nullable(),
    withdraws: z.int().nullable().meta({ description: 'The entry that this one takes back.' }),
    withdrawnBy: z.int().nullable().meta({ description: 'The entry that takes this one back.' }),
    recordedBy: z.string().nullable(),
    recordedAt: z.string(),
  })
  .meta({ id: 'UsageEntry' });

export const entryQuery = z.object({
  meter: z.string().max(40).optional(),
  kind: entryKind.optional(),
});
export const entryId = z.coerce.number().int().min(1).max(Number.MAX_SAFE_INTEGER);
