import { z } from 'zod';
import { id, instant, name, note } from './common.ts';

const bay = z.string().trim().min(1).max(40).meta({ description: 'Which bay of the yard.' });
const canSpareFrom = instant.meta({
  description: 'From when dispatch can do without the unit; the visit begins no earlier.',
});
const backBy = instant.meta({
  description: 'When dispatch wants the unit back; the visit ends no later.',
});
const agreedBy = name.meta({ description: 'Who agreed for dispatch.' });

export const newVisit = z
  .strictObject({
    unitId: id,
    yardId: id,
    bay,
    from: instant,
    to: instant,
    canSpareFrom: canSpareFrom.optional(),
    backBy: backBy.optional(),
    agreedBy: agreedBy.optional(),
    note: note.optional(),
  })
  .meta({ id: 'NewVisit' });

export const visitChange = z
  .strictObject({
    yardId: id.optional(),
    bay: bay.optional(),
    from: instant.optional(),
    to: instant.optional(),
    canSpareFrom: canSpareFrom.nullable().optional(),
    backBy: backBy.nullable().optional(),
    agreedBy: agreedBy.nullable().optional(),
    note: note.nullable().optional(),
  })
  .refine((body) => Object.values(body).some((value) => value !== undefined), 'say what changes')
  .meta({
    id: 'VisitChange',
    description:
      'Other times or another yard need a new agreement: name who agreed, or nobody did.',
  });

export const visitCancellation = z
  .strictObject({ reason: z.string().trim().min(1).max(2000) })
  .meta({ id: 'VisitCancellation' });

const agreement = {
  canSpareFrom: z.string().nullable(),
  backBy: z.string().nullable(),
};

export const visit = z
  .object({
    visitId: id,
    unitId: id,
    yardId: id,
    bay: z.string(),
    from: z.string(),
    to: z.string(),
    ...agreement,
    agreedBy: z.string().nullable(),
    note: z.string().nullable(),
    createdAt: z.string(),
    cancelled: z.object({ reason: z.string(), at: z.string() }).nullable(),
  })
  .meta({ id: 'Visit' });

/** The visit that a unit is on, or its next one. */
export const nextVisit = z
  .object({
    visitId: id,
    yardId: id,
    bay: z.string(),
    from: z.string(),
    to: z.string(),
    ...agreement,
    agreed: z.boolean(),
  })
  .meta({ id: 'NextVisit' });
