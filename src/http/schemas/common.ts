import { z } from 'zod';
import { parseInstant } from '../../domain/instant.ts';
import { assetKinds } from '../../domain/usage/meter.ts';

/** What a whole number of the database can hold. */
export const intMost = 2_147_483_647;
export const id = z.uuid().meta({ description: 'Stable id.' });
export const instant = z.iso
  .datetime({ offset: true })
  .refine((text) => parseInstant(text) !== null, 'is not an instant')
  .meta({ description: 'RFC 3339 instant with an offset.', example: '2026-11-02T08:30:00-05:00' });
/** Days outside are nobody's, and some of them are no day of the calendar or of the database. */
const earliestDay = '1970-01-01';
export const day = z.iso
  .date()
  .refine((text) => text >= earliestDay, `must not be before ${earliestDay}`)
  .meta({ description: "Local day in the yard's time zone.", example: '2026-11-02' });
export const name = z.string().trim().min(1).max(200);
export const note = z.string().max(2000);
export const assetKind = z.enum(assetKinds).meta({ id: 'AssetKind' });

export const problem = z
  .object({
    type: z.string(),
    title: z.string(),
    status: z.int(),
    code: z.string(),
    detail: z.string(),
    instance: z.string(),
    errors: z
      .array(z.object({ path: z.string(), reason: z.string() }))
      .max(100)
      .optional(),
  })
  .meta({ id: 'Problem', description: 'RFC 9457 problem details; `code` is from the catalogue.' });

const problemAnswer = (description: string) => ({
  description,
  headers: {
    'retry-after': {
      type: 'integer',
      description: 'Seconds; there when the same request may go well after them.',
    },
  },
  content: { 'application/problem+json': { schema: problem } },
});

/**
 * The refusals that a route can answer, for the contract. Made anew for each route: what turns
 * schemas into the contract changes the object, and would leave every later route without them.
 */
export const refusals = () => ({
  '4XX': problemAnswer('Refused; see `code`.'),
  '5XX': problemAnswer('Not answered; see `code` and Retry-After.'),
});

/** Room for a name of 200 characters, each written as \u0001, and an id, in base64. */
export const cursorMost = 2_000;
export const cursor = z
  .string()
  .max(cursorMost)
  .meta({ description: 'From `next` of the page before.' });
export const pageQuery = z.object({
  limit: z.coerce.number().int().min(1).max(200).default(50),
  cursor: cursor.optional(),
});

/** A page of a list. `next` is absent on the last one. */
export const pageOf = <T extends z.ZodType>(item: T) =>
  z.object({ items: z.array(item).max(500), next: cursor.optional() });

export const security = [{ key: [] }];
export const idempotencyHeaders = z.object({
  'idempotency-key': z
    .string()
    .max(202)
    .optional()
    .meta({ description: 'A repeat with the same key and body gets the first answer again.' }),
});

/** Milliseconds of an instant that the schema has let through. */
export const toMs = (text: string): number => parseInstant(text) as number;
