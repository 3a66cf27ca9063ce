import { z } from 'zod';
import { intakeBounds, refusals } from '../../domain/usage/reading-intake.ts';

const seq = z.int().min(0);

/**
 * Documents the body; the flow itself judges each stream, so that one bad stream harms no other.
 */
export const postedReadings = z
  .object({
    streams: z
      .array(
        z.object({
          counter: z.string().max(40),
          epoch: z.int().min(0),
          firstSeq: seq,
          at: z
            .array(z.int())
            .max(intakeBounds.readingsPerStream)
            .meta({ description: 'Device times, ms since 1970.' }),
          raw: z
            .array(z.int())
            .max(intakeBounds.readingsPerStream)
            .meta({ description: 'Counter values in ticks; same length as `at`.' }),
          lost: z
            .array(z.tuple([seq, seq]))
            .max(intakeBounds.lostRangesPerStream)
            .optional()
            .meta({ description: 'Numbers that the device can never send.' }),
        }),
      )
      .max(intakeBounds.streamsPerPost),
  })
  .meta({
    id: 'PostedReadings',
    example: {
      streams: [
        {
          counter: 'pto_hours',
          epoch: 0,
          firstSeq: 4101,
          at: [1795599400000, 1795599580000],
          raw: [29664, 29665],
        },
      ],
    },
  });

export const settledStream = z
  .object({
    counter: z.string().nullable(),
    epoch: z.int().nullable(),
    contiguous: seq.nullable().meta({
      description: 'Every number up to this one is settled: stored, or refused for good.',
    }),
    highest: seq.nullable(),
    missing: z.array(z.tuple([seq, seq])).max(100),
    accepted: z.int(),
    duplicate: z.int(),
    conflict: z.int(),
    refused: z
      .array(
        z.object({
          from: seq.nullable(),
          to: seq.nullable(),
          verdict: z.enum(refusals),
          detail: z.string().optional(),
        }),
      )
      .max(20_000),
  })
  .meta({ id: 'SettledStream' });
export const settledReadings = z
  .object({ streams: z.array(settledStream).max(64) })
  .meta({ id: 'SettledReadings' });

export const postedLines = z
  .string()
  .max(64 * 1024 * 1024)
  .meta({ description: 'One body of posted readings a line.' });
export const settledLines = z
  .string()
  .max(16 * 1024 * 1024)
  .meta({ description: 'One answer a line, in order.' });
