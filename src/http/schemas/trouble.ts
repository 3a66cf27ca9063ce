import { z } from 'zod';
import { DRIVER_ACTS } from '../../domain/shop/driver-advice.ts';
import { INCIDENTS } from '../../domain/shop/incident.ts';
import { SYMPTOMS } from '../../domain/shop/symptom.ts';
import { TROUBLE_STATES } from '../../domain/shop/trouble.ts';
import { MAX_CAUSE_POINTS, MAX_CAUSES } from '../../domain/upkeep/symptom-rule.ts';
import { id, instant } from './common.ts';
import { signature } from './signature.ts';

export const symptomWord = z.enum(SYMPTOMS).meta({ id: 'SymptomWord' });
export const incidentKind = z.enum(INCIDENTS).meta({ id: 'IncidentKind' });
const state = z.enum(TROUBLE_STATES).meta({
  id: 'TroubleState',
  description: 'told, on_card, or over: mended, or unnecessary because nothing was wrong.',
});
const words = z.string().trim().max(2000).default('');
const loadOnHook = z.boolean().meta({ description: 'Whether a car, or any load, is on it now.' });
const signed = signature.optional().meta({ description: 'Who tells it, where somebody signs.' });

export const newSymptom = z
  .strictObject({
    symptom: symptomWord,
    loadOnHook,
    words: words.meta({ description: 'What the driver says, in their own words.' }),
    assetId: id.optional().meta({
      description: 'Which asset it is; left out, found out from the word and what is on the unit.',
    }),
    noticedAt: instant.optional().meta({ description: 'Default: now.' }),
    signature: signed,
  })
  .meta({ id: 'NewSymptom' });

export const newIncident = z
  .strictObject({
    kind: incidentKind,
    loadOnHook,
    words,
    happenedAt: instant.optional().meta({ description: 'Default: now.' }),
    signature: signed,
  })
  .meta({ id: 'NewIncident' });

const advice = z
  .object({
    act: z.enum(DRIVER_ACTS),
    words: z.string(),
    cautions: z.array(z.string()).max(10).meta({ description: 'Show them with the words.' }),
  })
  .meta({ id: 'DriverAdvice', description: 'What the driver does now.' });

const stop = z
  .object({
    stopId: id,
    functions: z.array(z.string()).max(10),
    state: z.string().meta({ description: '`waits_for_drop` until the load is off.' }),
    reason: z.string(),
  })
  .meta({ id: 'TroubleStop' });

const teller = z.object({ personId: id.nullable(), name: z.string() });
const closed = z
  .object({
    how: z.enum(['mended', 'unnecessary']),
    words: z.string(),
    by: z.object({ personId: id, name: z.string() }),
    at: z.string(),
  })
  .nullable();

export const symptom = z
  .object({
    symptomId: id,
    unitId: id,
    assetId: id.nullable(),
    symptom: symptomWord,
    means: z.string(),
    words: z.string(),
    loadOnHook: z.boolean(),
    reports: z.int().meta({ description: 'How often it was told while open.' }),
    state,
    outcome: z.string().meta({ description: 'What came of it, in words for the driver.' }),
    cardId: id.nullable(),
    cameBackOf: id.nullable().meta({ description: 'The mended one that it is again.' }),
    noticedAt: z.string(),
    toldAt: z.string(),
    lastToldAt: z.string(),
    closed,
  })
  .meta({ id: 'Symptom' });

export const wholeSymptom = symptom
  .extend({
    said: z.string().meta({ description: 'That the shop knows.' }),
    doNow: advice.nullable(),
    likelyCauses: z
      .array(
        z.object({
          words: z.string(),
          points: z
            .array(
              z.object({
                point: z.string(),
                name: z.string(),
                side: z.string(),
                place: z.string(),
              }),
            )
            .max(MAX_CAUSE_POINTS),
        }),
      )
      .max(MAX_CAUSES)
      .meta({ description: 'In the order in which to ask for them.' }),
    stops: z.array(stop).max(100),
    calledDue: z.array(z.string()).max(200).meta({ description: 'Tasks that are due for it.' }),
    told: z
      .array(
        z.object({
          words: z.string(),
          loadOnHook: z.boolean(),
          noticedAt: z.string(),
          toldAt: z.string(),
          by: teller,
        }),
      )
      .max(50),
    cameBackAs: id.nullable(),
  })
  .meta({ id: 'WholeSymptom' });

export const incident = z
  .object({
    incidentId: id,
    unitId: id,
    kind: incidentKind,
    means: z.string(),
    words: z.string(),
    loadOnHook: z.boolean(),
    happenedAt: z.string(),
    toldAt: z.string(),
    by: teller,
    state,
    outcome: z.string(),
    cardId: id.nullable(),
    closed,
  })
  .meta({ id: 'Incident' });

export const wholeIncident = incident
  .extend({
    doNow: advice.nullable(),
    stops: z.array(stop).max(100),
    calledDue: z
      .array(z.string())
      .max(1000)
      .meta({ description: 'What the full inspection still lacks.' }),
  })
  .meta({ id: 'WholeIncident' });

export const troubleClosing = z
  .strictObject({
    how: z.enum(['mended', 'unnecessary']),
    cardId: id.optional().meta({ description: 'The signed-off card that mended it.' }),
    words: z
      .string()
      .trim()
      .min(1)
      .max(2000)
      .meta({ description: 'What was wrong, or why nothing needs mending.' }),
    signature,
  })
  .refine((body) => (body.how === 'mended') === (body.cardId !== undefined), {
    message: 'mended goes with the card that mended it, unnecessary with none',
  })
  .meta({ id: 'TroubleClosing' });

export const troubleCard = z
  .strictObject({
    cardId: id.optional().meta({ description: 'An open card to put it on, instead of a new one.' }),
    visitId: id.optional(),
  })
  .meta({ id: 'TroubleCard' });
