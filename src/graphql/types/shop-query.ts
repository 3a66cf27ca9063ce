import { findJobCard, listJobCards } from '../../store/job-card.ts';
import { findPerson, listPeople } from '../../store/person.ts';
import { listVisits } from '../../store/visit.ts';
import { builder } from '../builder.ts';
import { asked, cut, idOf, pageArgs } from '../connection.ts';
import { mustMay } from '../may.ts';
import { CardKind, CardState } from './job-card.ts';
import * as n from './nodes.ts';

builder.queryFields((t) => ({
  people: t.field({
    type: n.PersonConnection,
    nullable: true,
    description: 'People, by name; for roles that may see who works here.',
    args: {
      ...pageArgs(),
      here: t.arg.boolean({
        required: true,
        defaultValue: false,
        description: 'Without those who have left.',
      }),
    },
    resolve: async (_root, args, { tx, fleetId, role }) => {
      mustMay(role, 'read_people');
      const { after, limit } = asked(args, ['text', 'id']);
      const rows = await listPeople(tx, fleetId, args.here, after, limit);
      return cut(rows, args, (row) => [row.name, row.personId]);
    },
  }),
  person: t.field({
    type: n.Person,
    nullable: true,
    args: { id: t.arg.id({ required: true }) },
    resolve: (_root, { id }, { tx, fleetId, role }) => {
      mustMay(role, 'read_people');
      return findPerson(tx, fleetId, idOf(id));
    },
  }),
  jobCards: t.field({
    type: n.JobCardConnection,
    description: 'Job cards, the latest written up first.',
    args: {
      ...pageArgs(),
      unitId: t.arg.id(),
      state: t.arg({ type: CardState }),
      kind: t.arg({ type: CardKind }),
    },
    resolve: async (_root, args, { tx, fleetId }) => {
      const { after, limit } = asked(args, ['id']);
      const filter = {
        unitId: args.unitId == null ? undefined : idOf(args.unitId),
        state: args.state ?? undefined,
        kind: args.kind ?? undefined,
      };
      const rows = await listJobCards(tx, fleetId, filter, after, limit);
      return cut(rows, args, (row) => [row.cardId]);
    },
  }),
  jobCard: t.field({
    type: n.JobCard,
    nullable: true,
    args: { id: t.arg.id({ required: true }) },
    resolve: (_root, { id }, { tx, fleetId }) => findJobCard(tx, fleetId, idOf(id)),
  }),
  visits: t.field({
    type: n.VisitConnection,
    description: 'Visits, by their beginning.',
    args: { ...pageArgs(), unitId: t.arg.id(), yardId: t.arg.id(), cancelled: t.arg.boolean() },
    resolve: async (_root, args, { tx, fleetId }) => {
      const { after, limit } = asked(args, ['serial', 'id']);
      const filter = {
        unitId: args.unitId == null ? undefined : idOf(args.unitId),
        yardId: args.yardId == null ? undefined : idOf(args.yardId),
        fromMs: undefined,
        toMs: undefined,
        cancelled: args.cancelled ?? undefined,
      };
      const rows = await listVisits(tx, fleetId, filter, after, limit);
      return cut(rows, args, (row) => [row.during.fromMs, row.visitId]);
    },
  }),
}));
