import { showIncident, showSymptom } from '../flows/show-trouble.ts';
import { showWalkRound, withDefects } from '../flows/show-walk-round.ts';
import { cardsByIds } from '../store/shop-edges.ts';
import * as trouble from '../store/trouble-edges.ts';
import type { UnitWithYards } from '../store/unit.ts';
import { asked, cut, type PageArgs } from './connection.ts';
import { asset, many, one, unit } from './filling.ts';
import type { Incident, Symptom, WalkRound } from './types/nodes.ts';

/** The job card that a parent names. */
export const card = <P>(idOf: (parent: P) => string | null) =>
  one(idOf, (ids, { tx, fleetId }) => cardsByIds(tx, fleetId, ids));

interface OpenArgs extends PageArgs {
  open?: boolean | null;
}

const symptomsOfUnit = many<UnitWithYards, OpenArgs>(
  (row) => row.unitId,
  async (ids, args, { tx, fleetId, nowMs }) => {
    const { after, limit } = asked(args, ['id']);
    const which = { atMs: nowMs, open: args.open ?? null };
    const found = await trouble.symptomsOfUnits(tx, fleetId, ids, which, after, limit);
    return (id) => cut((found.get(id) ?? []).map(showSymptom), args, (row) => [row.symptomId]);
  },
);

const incidentsOfUnit = many<UnitWithYards, OpenArgs>(
  (row) => row.unitId,
  async (ids, args, { tx, fleetId }) => {
    const { after, limit } = asked(args, ['id']);
    const open = args.open ?? null;
    const found = await trouble.incidentsOfUnits(tx, fleetId, ids, open, after, limit);
    return (id) => cut((found.get(id) ?? []).map(showIncident), args, (row) => [row.incidentId]);
  },
);

const walkRoundsOfUnit = many<UnitWithYards, PageArgs>(
  (row) => row.unitId,
  async (ids, args, { tx, fleetId }) => {
    const { after, limit } = asked(args, ['id']);
    const found = await trouble.walkRoundsOfUnits(tx, fleetId, ids, after, limit);
    const rows = [...found.values()].flat();
    const shown = new Map(
      (await withDefects(tx, fleetId, rows)).map((whole) => [
        whole.row.walkRoundId,
        showWalkRound(whole),
      ]),
    );
    return (id) => {
      const of = (found.get(id) ?? []).map((row) => shown.get(row.walkRoundId) as WalkRound);
      return cut(of, args, (row) => [row.walkRoundId]);
    };
  },
);

export const troubleOfUnit = {
  symptoms: symptomsOfUnit,
  incidents: incidentsOfUnit,
  walkRounds: walkRoundsOfUnit,
};
export const troubleLoaders = {
  Symptom: {
    unit: unit<Symptom>((row) => row.unitId),
    asset: asset<Symptom>((row) => row.assetId),
    card: card<Symptom>((row) => row.cardId),
  },
  Incident: {
    unit: unit<Incident>((row) => row.unitId),
    card: card<Incident>((row) => row.cardId),
  },
  WalkRound: { unit: unit<WalkRound>((row) => row.unitId) },
};
