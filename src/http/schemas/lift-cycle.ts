import { z } from 'zod';
import { cycleBases, cycleMeters } from '../../domain/usage/cycle-basis.ts';
import { notCountedReasons } from '../../domain/usage/derive-cycles.ts';
import { intakeBounds } from '../../domain/usage/reading-intake.ts';

export const cycleSamplesMost = 20_000;

const ms = (least: number, most: number) => z.int().min(least).max(most).optional();
const bar = z.number().min(0).max(1000).optional();

const settings = z.strictObject({
  loadedBar: bar.meta({ description: 'At or above it something is on the lift; pressure only.' }),
  emptyBar: bar.meta({ description: 'At or below it nothing is; pressure only.' }),
  strokeMs: ms(100, 600_000).meta({ description: 'A whole stroke with warm oil; coil only.' }),
  holdMs: ms(0, 60_000).meta({ description: 'How long a level must last to be one.' }),
  gapMs: ms(1, 86_400_000).meta({
    description: 'Samples further apart say nothing of the time between.',
  }),
});

export const cycleCheck = z
  .strictObject({
    meter: z.enum(cycleMeters),
    basis: z.enum(cycleBases),
    settings: settings.default({}),
    samples: z
      .array(z.tuple([z.int().min(0).max(intakeBounds.atMaxMs), z.number().nullable()]))
      .max(cycleSamplesMost)
      .meta({
        description:
          'Time in ms and value, in order of time: of a switch 0 or 1, of a pressure bar, of ' +
          'coils 1 (out), -1 (back), 0; null: no value.',
      }),
  })
  .meta({
    id: 'CycleCheck',
    example: {
      meter: 'fold_cycles',
      basis: 'switch',
      samples: [
        [0, 0],
        [1000, 1],
        [2000, 1],
        [21000, 0],
        [22000, 0],
      ],
      settings: { gapMs: 60000 },
    },
  });

const span = { fromMs: z.int(), toMs: z.int(), gaps: z.int() };
export const checkedCycles = z
  .object({
    meter: z.enum(cycleMeters),
    basis: z.enum(cycleBases),
    basisVersion: z.int(),
    rules: z.record(z.string(), z.union([z.number(), z.string()])).meta({
      description: 'The rules as they were applied.',
    }),
    count: z.int(),
    cycles: z.array(z.object(span)).max(cycleSamplesMost),
    notCounted: z
      .array(z.object({ ...span, why: z.enum(notCountedReasons) }))
      .max(cycleSamplesMost),
    open: z
      .object({ fromMs: z.int(), isOut: z.boolean() })
      .nullable()
      .meta({ description: 'Not over at the end of the samples.' }),
    gaps: z.int().meta({ description: 'Times of which nothing is known.' }),
    withoutValue: z.int(),
    outOfOrder: z.int().meta({ description: 'Not later than the sample before; left out.' }),
  })
  .meta({ id: 'CheckedCycles' });
