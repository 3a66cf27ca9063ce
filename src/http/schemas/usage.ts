import { z } from 'zod';
import { assetKind, day, id } from './common.ts';

export const usageQuery = z.object({
  from: day.optional().meta({ description: 'Default: 30 days before `to`.' }),
  to: day.optional().meta({ description: 'Default: today.' }),
  meter: z.string().max(40).optional(),
});

const meterUse = z
  .object({
    meter: z.string(),
    unit: z.enum(['hours', 'cycles', 'km']),
    total: z.number().meta({ description: 'Since counting began.' }),
    totalGrains: z.int().meta({ description: 'The same in seconds, cycles or metres: exact.' }),
    adjusted: z.number().meta({ description: 'What of the total people adjusted; see entries.' }),
    days: z
      .array(
        z.object({
          day: z.string(),
          use: z.number(),
          grains: z.int(),
          adjusted: z.number().optional(),
        }),
      )
      .max(400)
      .meta({ description: 'Days without use are left out.' }),
  })
  .meta({ id: 'MeterUse' });

export const assetUsage = z
  .object({
    assetId: id,
    kind: assetKind,
    serial: z.string(),
    from: z.string(),
    to: z.string(),
    startingValues: z
      .array(
        z.object({
          meter: z.string(),
          unit: z.enum(['hours', 'cycles', 'km']),
          value: z.number(),
          at: z.string(),
        }),
      )
      .max(40)
      .meta({ description: 'What meters stood at when it was brought in; not part of the use.' }),
    meters: z.array(meterUse).max(40),
  })
  .meta({ id: 'AssetUsage' });
export const unitUsage = z
  .object({ unitId: id, assets: z.array(assetUsage).max(50) })
  .meta({ id: 'UnitUsage' });

export const verdict = z
  .object({
    counter: z.string(),
    meter: z.string(),
    ordinal: z.int(),
    seq: z.int(),
    lastSeq: z.int(),
    verdict: z.string(),
    reason: z.string(),
    against: z.number().nullable(),
    at: z.string(),
    raw: z.int(),
    needsPerson: z.boolean(),
  })
  .meta({ id: 'ReadingVerdict' });
export const verdicts = z
  .object({
    items: z.array(verdict).max(2000),
    conflicts: z
      .array(
        z.object({
          counter: z.string(),
          epoch: z.int(),
          seq: z.int(),
          at: z.string(),
          raw: z.int(),
          receivedAt: z.string(),
        }),
      )
      .max(1000),
  })
  .meta({ id: 'ReadingVerdicts' });

export const event = z
  .object({
    number: z.int(),
    type: z.string(),
    subject: z.string(),
    data: z.record(z.string(), z.unknown()),
    personal: z.record(z.string(), z.unknown()).nullable(),
    personalDigest: z.string().nullable(),
    occurredAt: z.string(),
    recordedAt: z.string(),
    hash: z.string().meta({ description: 'Hex SHA-256; covers the hash of the event before.' }),
  })
  .meta({ id: 'Event' });
export const events = z
  .object({
    items: z.array(event).max(500),
    last: z.int().meta({ description: 'Highest number that the history has now.' }),
  })
  .meta({ id: 'Events' });
