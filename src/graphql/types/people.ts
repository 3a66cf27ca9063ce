import { competences } from '../../domain/shop/competence.ts';
import type { Held } from '../../store/person.ts';
import { builder, loaded } from '../builder.ts';
import { pageArgs } from '../connection.ts';
import * as n from './nodes.ts';

export const Competence = builder.enumType('Competence', { values: competences });

const HeldNow = builder.objectRef<Held>('HeldNow');
HeldNow.implement({
  description: 'What a person may do at this moment.',
  fields: (t) => ({
    competence: t.expose('competence', { type: Competence }),
    competenceId: t.exposeID('competenceId'),
    passesLeft: t.exposeInt('passesLeft', {
      description: 'Supervised passes until the work needs no countersign.',
    }),
  }),
});

n.Person.implement({
  description: 'Who signs. A key is not a person.',
  fields: (t) => ({
    id: t.exposeID('personId'),
    name: t.exposeString('name'),
    pinSetAt: t.field({ type: 'Instant', nullable: true, resolve: (row) => row.pinSetAtMs }),
    leftAt: t.field({ type: 'Instant', nullable: true, resolve: (row) => row.leftAtMs }),
    createdAt: t.field({ type: 'Instant', resolve: (row) => row.createdAtMs }),
    mayNow: t.field({ type: [HeldNow], extensions: { cost: 5 }, resolve: loaded }),
    competences: t.field({
      type: n.PersonCompetenceConnection,
      description: 'All that was given, with dates, in the order of giving.',
      args: pageArgs(),
      resolve: loaded,
    }),
  }),
});

n.PersonCompetence.implement({
  description: 'What a person may do, from-to, by whose word and on what evidence.',
  fields: (t) => ({
    id: t.exposeID('competenceId'),
    competence: t.expose('competence', { type: Competence }),
    from: t.field({ type: 'Instant', resolve: (row) => row.during.fromMs }),
    to: t.field({ type: 'Instant', nullable: true, resolve: (row) => row.during.toMs }),
    evidence: t.exposeString('evidence'),
    passesNeeded: t.exposeInt('passesNeeded'),
    givenAt: t.field({ type: 'Instant', resolve: (row) => row.givenAtMs }),
    givenBy: t.field({
      type: n.Person,
      nullable: true,
      description: 'The lead who signed; null: a key did.',
      resolve: loaded,
    }),
    endedAt: t.field({ type: 'Instant', nullable: true, resolve: (row) => row.endedAtMs }),
    endReason: t.exposeString('endReason', { nullable: true }),
  }),
});
