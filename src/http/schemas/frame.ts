import { z } from 'zod';
import { frameBounds } from '../../domain/usage/candump.ts';

const count = z.int().min(0);

/** Documents the body; the flow itself judges frame by frame. */
export const postedFrames = z
  .object({
    frames: z
      .array(
        z.object({
          at: z
            .union([z.int().min(0), z.string().max(40)])
            .meta({ description: "Device's time: ms since 1970, or RFC 3339." }),
          id: z.string().max(8).meta({ description: '29-bit identifier in hex.' }),
          data: z.string().max(64).meta({ description: 'Data bytes in hex.' }),
        }),
      )
      .max(frameBounds.framesMost),
  })
  .meta({
    id: 'PostedFrames',
    example: { frames: [{ at: 1795599400000, id: '18FEE700', data: '81C40300E1730000' }] },
  });

/** Room for the most frames that a post may hold, as text or as JSON; bytes. */
export const framesBytesMost = 4 * 1024 * 1024;

export const candumpText = z.string().max(framesBytesMost).meta({
  description: 'Lines as `candump -L` writes them.',
  example: '(1795599400.123456) can0 18FEE700#81C40300E1730000',
});

const frameCounter = z
  .object({
    counter: z.string(),
    epoch: z.int(),
    spn: z.int(),
    source: z.int().nullable().meta({
      description: 'Source address of the control unit that it listens to.',
    }),
    accepted: count.meta({ description: 'Said something new.' }),
    unchanged: count.meta({ description: 'Said the value that stood.' }),
    duplicate: count.meta({ description: 'Of a time that was told of before.' }),
    late: count.meta({ description: 'Too late to be integrated; `derived` only.' }),
    unseen: count.meta({
      description: 'Times over a minute after "engaged", not counted; `derived` only.',
    }),
    skipped: z.object({
      not_available: count,
      error: count,
      reserved: count,
      parameter_specific: count,
      other_source: count,
      ahead: count,
      too_early: count,
    }),
    raw: z.int().nullable().meta({ description: 'The value that stands, in ticks.' }),
    knownUntil: z.string().nullable().meta({ description: 'Until when it is known to stand.' }),
  })
  .meta({ id: 'FrameCounter' });

export const takenFrames = z
  .object({
    frames: count,
    heard: z.boolean().meta({
      description: 'Whether this was a sign of life.',
    }),
    unheard: z.array(z.string()).max(64).meta({
      description:
        'Counters that count and were not heard of late: for them it is no sign of life.',
    }),
    counters: z.array(frameCounter).max(64_000),
    undeclared: z
      .array(z.object({ spn: z.int(), source: z.int(), samples: count }))
      .max(1024)
      .meta({ description: 'Parameters that could be counted from and are not declared.' }),
    skipped: z.object({
      remote: count,
      can_fd: count,
      standard: count,
      error_frame: count,
      other_group: count,
      wrong_length: count,
    }),
    unreadable: z.object({
      count,
      first: z.array(z.object({ line: z.int(), reason: z.string() })).max(frameBounds.faultsMost),
    }),
  })
  .meta({ id: 'TakenFrames' });
