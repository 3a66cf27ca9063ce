import { z } from 'zod';
import { id, instant, name } from './common.ts';
import { meterName, meterUnit, reason } from './hand-reading.ts';

const source = z
  .object({
    byHand: z.boolean().meta({ description: 'What people read off the dial.' }),
    controller: z.string().nullable(),
    counters: z.array(z.object({ gatewayId: id, counter: z.string() })).max(20),
  })
  .meta({ id: 'MeterSourceName' });

export const newChoice = z
  .strictObject({
    meter: meterName,
    source: z
      .union(
        [
          z.strictObject({ gatewayId: id, counter: z.string().max(40).optional() }),
          z.literal('hand'),
        ],
        { error: 'Expected {"gatewayId", "counter"}, or "hand"' },
      )
      .meta({ description: 'A counter of a gateway, or `hand`: what people read off the dial.' }),
    from: instant,
    to: instant.nullable().optional().meta({ description: 'Null: until taken back.' }),
    name: name.meta({ description: 'Who says so.' }),
    reason,
  })
  .meta({ id: 'NewMeterSourceChoice' });

export const choice = z
  .object({
    choiceId: id,
    meter: z.string(),
    source,
    from: z.string(),
    to: z.string().nullable(),
    name: z.string().nullable(),
    reason: z.string(),
    recordedBy: z.string(),
    recordedAt: z.string(),
    withdrawn: z
      .object({ name: z.string().nullable(), reason: z.string(), at: z.string() })
      .nullable(),
  })
  .meta({ id: 'MeterSourceChoice' });

export const sourcesQuery = z.object({
  from: instant.optional().meta({ description: 'Default: 30 days before `to`.' }),
  to: instant.optional().meta({ description: 'Default: now. At most 92 days after `from`.' }),
  meter: z.string().max(40).optional(),
});

const crossCheck = z.object({
  source,
  from: z.string(),
  to: z.string(),
  use: z.number().nullable().meta({ description: 'Null: too many to work out at once.' }),
  countedUse: z.number().nullable().meta({ description: 'Of what counts, in the same time.' }),
  difference: z.number().nullable().meta({ description: 'The first less the second.' }),
});

export const meterSources = z
  .object({
    assetId: id,
    from: z.string(),
    to: z.string(),
    counting: z
      .array(
        z.object({
          meter: z.string(),
          unit: meterUnit,
          source,
          by: z.enum(['rule', 'choice']),
          choiceId: id.nullable(),
          from: z.string(),
          to: z.string().nullable(),
          others: z.array(crossCheck).max(200),
        }),
      )
      .max(1000)
      .meta({ description: 'What counts when; the others only cross-check.' }),
    choices: z
      .array(choice)
      .max(200)
      .meta({ description: 'Newest first. Where they overlap the later holds.' }),
  })
  .meta({ id: 'MeterSources' });
