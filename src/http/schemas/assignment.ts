import { z } from 'zod';
import { id, instant, note } from './common.ts';
import { functionReadiness, readinessAnswer } from './readiness.ts';
import { signature } from './signature.ts';
import { functions, unitFunction } from './stop.ts';

export const newAssignment = z
  .strictObject({
    functions,
    reliedOn: z.int().min(0).max(Number.MAX_SAFE_INTEGER).meta({
      description: '`event` of the readiness that dispatch read.',
    }),
    at: instant.optional().meta({ description: 'When it was sent; now, when left out.' }),
    reference: z.string().trim().min(1).max(200).optional().meta({
      description: "Dispatch's own number of the call.",
    }),
    note: note.optional(),
    override: z.string().trim().min(1).max(2000).optional().meta({
      description: "Why it is sent though a restriction of dispatch's own stands in the way.",
    }),
    signature: signature.optional().meta({ description: 'Of dispatch, for an override.' }),
  })
  .meta({ id: 'NewAssignment' });

const shape = {
  assignmentId: id,
  unitId: id,
  functions: z.array(unitFunction).max(5),
  reliedOn: z.int(),
  lastEvent: z.int().meta({ description: 'The last event when it was logged.' }),
  answers: z.partialRecord(unitFunction, readinessAnswer).meta({
    description: 'What readiness said when it was logged.',
  }),
  changed: z.boolean().meta({
    description: 'Something was told of the unit after the event that it relied on.',
  }),
  reference: z.string().nullable(),
  note: z.string().nullable(),
  override: z.string().nullable(),
  by: z.object({ personId: id.nullable(), name: z.string() }),
  at: z.string(),
  loggedAt: z.string(),
};
export const assignment = z.object(shape).meta({ id: 'Assignment' });
export const loggedAssignment = z
  .object({
    ...shape,
    since: z
      .array(z.object({ event: z.int().nullable(), type: z.string(), at: z.string() }))
      .max(20)
      .meta({ description: 'What was told since, oldest first; null: not yet numbered.' }),
    now: z.array(functionReadiness).max(5).meta({
      description: 'What readiness says now of the functions that were asked for.',
    }),
  })
  .meta({ id: 'LoggedAssignment' });
