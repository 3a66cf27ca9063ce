import { z } from 'zod';

export const graphQuestion = z
  .strictObject({
    query: z.string().min(1).max(50_000),
    variables: z.record(z.string().max(200), z.unknown()).nullable().optional(),
    operationName: z.string().max(200).nullable().optional(),
    extensions: z.record(z.string().max(200), z.unknown()).optional().meta({
      description: 'Not used.',
    }),
  })
  .meta({ id: 'GraphQuestion' });

export const graphAnswer = z
  .object({
    data: z.record(z.string(), z.unknown()).nullable().optional(),
    errors: z
      .array(
        z.object({
          message: z.string(),
          locations: z
            .array(z.object({ line: z.int(), column: z.int() }))
            .max(100)
            .optional(),
          path: z
            .array(z.union([z.string(), z.int()]))
            .max(100)
            .optional(),
          extensions: z.object({
            code: z.string().meta({ description: 'From the catalogue, see /docs/problems.' }),
            requestId: z.string(),
            place: z.string().optional(),
            retryAfterSeconds: z.int().optional(),
          }),
        }),
      )
      .max(100)
      .optional(),
    extensions: z.object({ cost: z.int(), costLimit: z.int() }).optional(),
  })
  .meta({ id: 'GraphAnswer' });
