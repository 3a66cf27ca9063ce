import type { CardState } from '../domain/shop/job-card.ts';
import type { UnitFunction } from '../domain/upkeep/service-point.ts';
import { readReadiness } from '../flows/read-readiness.ts';
import { readWholes, showJobCard, type WholeCard } from '../flows/show-job-card.ts';
import { showReadiness } from '../flows/show-readiness.ts';
import { showFinding, showStop } from '../flows/show-stop.ts';
import type { CompetenceRow } from '../store/competence.ts';
import type { JobCardRow } from '../store/job-card.ts';
import { competencesAt, type Held, type PersonRow, peopleById } from '../store/person.ts';
import * as shop from '../store/shop-edges.ts';
import type { UnitWithYards } from '../store/unit.ts';
import type { VisitRow } from '../store/visit.ts';
import { asked, cut, type PageArgs } from './connection.ts';
import type { GraphContext } from './context.ts';
import { asset, many, one, unit, yard } from './filling.ts';
import { mustMay } from './may.ts';
import { card, troubleLoaders, troubleOfUnit } from './trouble-loaders.ts';
import type { Finding, Readiness, Stop } from './types/nodes.ts';
import { wearLoaders, wearOfAsset } from './wear-loaders.ts';

/** A person that a parent names; for roles that may see who works here. */
export const person = <P>(idOf: (parent: P) => string | null) =>
  one<P, PersonRow>(idOf, async (ids, { tx, fleetId, role }) => {
    mustMay(role, 'read_people');
    return peopleById(tx, fleetId, ids);
  });

const heldByPerson = many<PersonRow, unknown>(
  (row) => row.personId,
  async (ids, _args, { tx, fleetId, nowMs }) => {
    const found = await competencesAt(tx, fleetId, ids, nowMs);
    return (id): Held[] => found.get(id) ?? [];
  },
);

const competencesOfPerson = many<PersonRow, PageArgs>(
  (row) => row.personId,
  async (ids, args, { tx, fleetId }) => {
    const { after, limit } = asked(args, ['id']);
    const found = await shop.competencesOfPeople(tx, fleetId, ids, after, limit);
    return (id) => cut(found.get(id) ?? [], args, (row) => [row.competenceId]);
  },
);

const visitsOfUnit = many<UnitWithYards, PageArgs>(
  (row) => row.unitId,
  async (ids, args, { tx, fleetId }) => {
    const { after, limit } = asked(args, ['serial', 'id']);
    const found = await shop.visitsOfUnits(tx, fleetId, ids, after, limit);
    return (id) => cut(found.get(id) ?? [], args, (row) => [row.during.fromMs, row.visitId]);
  },
);

/** Of whole cards: what is shown of each. */
const ofWhole = <T>(show: (card: WholeCard) => T) => {
  const loader = async (queries: { obj: JobCardRow }[], { tx, fleetId }: GraphContext) => {
    const rows = new Map(queries.map(({ obj }) => [obj.cardId, obj]));
    const found = await readWholes(tx, fleetId, [...rows.values()]);
    return queries.map(({ obj }) => show(found.get(obj.cardId) as WholeCard));
  };
  return { loader, opts: { cache: false } };
};

const cardsOfUnit = many<UnitWithYards, PageArgs & { state?: CardState | null }>(
  (row) => row.unitId,
  async (ids, args, { tx, fleetId }) => {
    const { after, limit } = asked(args, ['id']);
    const found = await shop.cardsOfUnits(tx, fleetId, ids, args.state ?? null, after, limit);
    return (id) => cut(found.get(id) ?? [], args, (row) => [row.cardId]);
  },
);

interface OpenArgs extends PageArgs {
  open?: boolean | null;
}

const stopsOfUnit = many<UnitWithYards, OpenArgs>(
  (row) => row.unitId,
  async (ids, args, { tx, fleetId, nowMs }) => {
    const { after, limit } = asked(args, ['id']);
    const which = { atMs: nowMs, open: args.open ?? null };
    const found = await shop.stopsOfUnits(tx, fleetId, ids, which, after, limit);
    return (id) => {
      const rows = (found.get(id) ?? []).map((row) => showStop(row, nowMs));
      return cut(rows, args, (row) => [row.stopId]);
    };
  },
);

const findingsOfUnit = many<UnitWithYards, OpenArgs>(
  (row) => row.unitId,
  async (ids, args, { tx, fleetId, nowMs }) => {
    const { after, limit } = asked(args, ['id']);
    const which = { atMs: nowMs, open: args.open ?? null };
    const found = await shop.findingsOfUnits(tx, fleetId, ids, which, after, limit);
    return (id) => cut((found.get(id) ?? []).map(showFinding), args, (row) => [row.findingId]);
  },
);

const findingOf = <P>(idOf: (parent: P) => string | null) =>
  one(idOf, async (ids, { tx, fleetId }) => {
    const found = await shop.findingsByIds(tx, fleetId, ids);
    return new Map([...found].map(([id, row]) => [id, showFinding(row)]));
  });

const reasonsMost = 20;

const readinessOfUnit = many<UnitWithYards, { function?: UnitFunction | null }>(
  (row) => row.unitId,
  async (ids, args, { tx, fleetId, nowMs }) => {
    const page = { after: null, limit: ids.length };
    const where = { unitIds: ids, yardId: null, warnings: true };
    const { event, units } = await readReadiness(tx, fleetId, where, page, nowMs);
    const found = new Map(
      units.map((each) => [
        each.unit.unitId,
        { event, ...showReadiness(each, args.function ?? null, nowMs, reasonsMost) },
      ]),
    );
    return (id) => found.get(id);
  },
);

/** What the shop adds to a unit and to an asset. */
export const shopOfUnit = {
  visits: visitsOfUnit,
  jobCards: cardsOfUnit,
  stops: stopsOfUnit,
  findings: findingsOfUnit,
  readiness: readinessOfUnit,
  ...troubleOfUnit,
};
export const shopOfAsset = wearOfAsset;

/** The edges of the shop's own kinds of nodes. */
export const shopLoaders = {
  ...troubleLoaders,
  ...wearLoaders,
  Person: { mayNow: heldByPerson, competences: competencesOfPerson },
  PersonCompetence: { givenBy: person<CompetenceRow>((row) => row.givenByPerson) },
  JobCard: {
    unit: unit<JobCardRow>((row) => row.unitId),
    follows: card<JobCardRow>((row) => row.follows),
    whole: ofWhole(showJobCard),
  },
  Stop: {
    unit: unit<Stop>((row) => row.unitId),
    asset: asset<Stop>((row) => row.assetId),
    finding: findingOf<Stop>((row) => row.findingId),
  },
  Finding: {
    unit: unit<Finding>((row) => row.unitId),
    asset: asset<Finding>((row) => row.assetId),
  },
  Readiness: { unit: unit<Readiness>((row) => row.unitId) },
  Visit: {
    unit: unit<VisitRow>((row) => row.unitId),
    yard: yard<VisitRow>((row) => row.yardId),
  },
};
