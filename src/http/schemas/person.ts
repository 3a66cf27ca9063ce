import { z } from 'zod';
import { competences, passesMost } from '../../domain/shop/competence.ts';
import { id, instant, name, note } from './common.ts';
import { pin, signature } from './signature.ts';

const evidence = note.min(1);
export const competence = z.enum(competences).meta({
  id: 'Competence',
  description:
    'lift_work: do steps. lift_check: check lift-critical work of others. lead: sign off, clear ' +
    'defect stops, approve deferrals, give competences. dispatch: restrictions. driving: drive, ' +
    'walk round. yearly_inspection: where the law asks who may.',
});

export const newPerson = z.strictObject({ name }).meta({ id: 'NewPerson' });
export const person = z
  .object({
    personId: id,
    name: z.string(),
    pinSetAt: z.string().nullable().meta({ description: 'Null: signs nothing yet.' }),
    leftAt: z.string().nullable(),
    createdAt: z.string(),
  })
  .meta({ id: 'Person' });

const now = z.object({
  competence,
  competenceId: id,
  passesLeft: z.int().meta({
    description: 'Supervised passes until the work needs no countersign; 0: none is needed.',
  }),
});
export const personNow = person
  .extend({
    mayNow: z
      .array(now)
      .max(competences.length)
      .meta({ description: 'What holds at this moment.' }),
  })
  .meta({ id: 'PersonNow' });

export const personChange = z
  .strictObject({
    name: name.optional(),
    leftAt: instant.nullable().optional().meta({
      description: 'Leaving takes the PIN and ends every sign-in. Null: came back.',
    }),
  })
  .refine(
    ({ name: called, leftAt }) => called !== undefined || leftAt !== undefined,
    'say what is otherwise',
  )
  .meta({ id: 'PersonChange' });

export const newPin = z
  .strictObject({
    newPin: pin,
    signature: signature.optional().meta({
      description: 'With the PIN of now; not needed with the key of a lead or an admin.',
    }),
  })
  .meta({ id: 'NewPin' });

export const newSignIn = z
  .strictObject({
    pin,
    minutes: z.int().min(5).max(720).default(60).meta({ description: 'How long it lasts.' }),
  })
  .meta({ id: 'NewSignIn' });
const signInOf = {
  signInId: id,
  personId: id,
  keyId: id.meta({ description: 'The key that it goes with.' }),
  beganAt: z.string(),
  endsAt: z.string(),
};
export const begunSignIn = z
  .object({
    ...signInOf,
    token: z.string().meta({ description: 'Shown this once; `signIn` of a signature.' }),
  })
  .meta({ id: 'BegunSignIn' });
export const signIn = z.object(signInOf).meta({ id: 'SignIn' });
export const signInEnd = z.strictObject({}).meta({ id: 'SignInEnd' });

const leadSigns = signature
  .optional()
  .meta({ description: 'Of a lead, with the PIN itself; an admin key may do without.' });
export const newCompetence = z
  .strictObject({
    competence,
    from: instant.optional().meta({ description: 'Default: now.' }),
    to: instant.optional().meta({ description: 'Default: for ever.' }),
    evidence: evidence.meta({ description: 'Certificate, course, years at work.' }),
    passesNeeded: z.int().min(0).max(passesMost).default(0).meta({
      description: 'For lift_work of a trainee: jobs to be countersigned first.',
    }),
    signature: leadSigns,
  })
  .refine(({ competence: what, passesNeeded }) => what === 'lift_work' || passesNeeded === 0, {
    error: 'only lift_work asks for passes',
    path: ['passesNeeded'],
  })
  .meta({ id: 'NewCompetence' });
export const competenceEnd = z
  .strictObject({ reason: evidence, signature: leadSigns })
  .meta({ id: 'CompetenceEnd' });
export const heldCompetence = z
  .object({
    competenceId: id,
    personId: id,
    competence,
    from: z.string(),
    to: z.string().nullable(),
    evidence: z.string(),
    passesNeeded: z.int(),
    givenByPersonId: id.nullable().meta({ description: 'The lead who signed; null: a key did.' }),
    givenAt: z.string(),
    ended: z.object({ reason: z.string(), at: z.string() }).nullable(),
  })
  .meta({ id: 'HeldCompetence' });
export const supervisedPass = z
  .object({
    passId: id,
    competenceId: id,
    supervisedByPersonId: id,
    cause: z.string().meta({ description: 'What it was, such as `job_card/<id>`.' }),
    at: z.string(),
  })
  .meta({ id: 'SupervisedPass' });
