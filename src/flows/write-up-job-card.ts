import { v7 as uuid } from 'uuid';
import {
  type CardAsset,
  type CardPattern,
  type CardStep,
  cardSteps,
  MAX_STEPS,
  MAX_YARD_STEPS,
  type Wanted,
  wantedOfTask,
} from '../domain/shop/card-steps.ts';
import type { CardKind } from '../domain/shop/job-card.ts';
import { Problem } from '../errors.ts';
import { lockFinding } from '../store/finding.ts';
import { assetsOnUnit, type InstalledAsset } from '../store/install.ts';
import {
  type CardStepRow,
  findJobCard,
  insertJobCard,
  type JobCardRow,
  openCardsOfUnit,
} from '../store/job-card.ts';
import type { Tx } from '../store/tx.ts';
import { type UpkeepState, upkeepOfUnit } from '../store/upkeep.ts';
import { findVisit } from '../store/visit.ts';
import type { Actor } from './actor.ts';
import { lastReadings } from './measure-step.ts';
import { mustFindUnit } from './must-find.ts';
import { patternOf } from './parsed-pattern.ts';
import type { Work } from './work.ts';

export interface TaskOfAsset {
  assetId: string;
  taskKey: string;
}

export interface NewJobCard {
  unitId: string;
  kind: CardKind;
  tasks: readonly TaskOfAsset[];
  /** To be looked at, whatever the tasks are. */
  points: readonly { assetId: string; pointKey: string }[];
  /** Open findings that are to be mended. */
  findings?: readonly string[];
  /** What an earlier card left; instead of whole tasks. */
  rest?: readonly (Wanted & { assetId: string })[];
  /** Why there is a card, in words. */
  reasons: readonly string[];
  cause: { kind: string; id: string } | null;
  visitId: string | null;
  /** The card that left what is to be done on this one. */
  follows: string | null;
}

/** What is to be done about findings: each is a step of its own. */
async function mending(
  work: Work,
  unitId: string,
  assets: readonly CardAsset[],
  findingIds: readonly string[],
): Promise<(Wanted & { assetId: string })[]> {
  const found: (Wanted & { assetId: string })[] = [];
  for (const findingId of new Set(findingIds)) {
    const finding = await lockFinding(work.tx, work.fleetId, findingId);
    const assetId = finding?.assetId ?? assets[0]?.assetId;
    const here = finding?.assetId != null || finding?.unitId === unitId;
    if (!finding || finding.closedAtMs !== null || assetId === undefined || !here) {
      throw new Problem('reference_unknown', 'No such finding is open on the unit.');
    }
    const { pattern } = isOn(assets, assetId);
    const known = pattern.servicePoints.some((point) => point.key === finding.pointKey);
    const words = finding.words || 'What was found is not right.';
    found.push({
      assetId,
      pointKey: known ? finding.pointKey : null,
      work: 'mend',
      taskKey: null,
      finding: { findingId, words, unfit: finding.grade === 'unfit' },
    });
  }
  return found;
}

/** An asset that follows no pattern is looked over and no more. */
const bare = ({ serial }: InstalledAsset): CardPattern => ({
  name: `Serial ${serial}`,
  servicePoints: [],
  tasks: [],
  wearParts: [],
});

const isOn = (assets: readonly CardAsset[], assetId: string): CardAsset => {
  const found = assets.find((asset) => asset.assetId === assetId);
  if (!found) throw new Problem('reference_unknown', 'An asset of the card is not on the unit.');
  return found;
};

/** What is wanted of each asset of the unit, in the order in which it was named. */
function collect(assets: readonly CardAsset[], input: NewJobCard): CardAsset[] {
  const wanted = new Map<string, Wanted[]>(assets.map(({ assetId }) => [assetId, []]));
  for (const { assetId, taskKey } of input.tasks) {
    const found = wantedOfTask(isOn(assets, assetId).pattern, taskKey);
    if (found.length === 0) {
      throw new Problem('reference_unknown', `The asset has no task "${taskKey.slice(0, 80)}".`);
    }
    wanted.get(assetId)?.push(...found);
  }
  for (const { assetId, pointKey } of input.points) {
    const { pattern } = isOn(assets, assetId);
    if (!pattern.servicePoints.some((point) => point.key === pointKey)) {
      throw new Problem('reference_unknown', `The asset has no point "${pointKey.slice(0, 80)}".`);
    }
    wanted.get(assetId)?.push({ pointKey, work: 'look', taskKey: null });
  }
  for (const { assetId, ...rest } of input.rest ?? []) {
    isOn(assets, assetId);
    wanted.get(assetId)?.push(rest);
  }
  return assets.map((asset) => ({ ...asset, wanted: wanted.get(asset.assetId) ?? [] }));
}

async function cardAssets(tx: Tx, fleetId: number, unitId: string, nowMs: number) {
  const assets: CardAsset[] = [];
  for (const asset of await assetsOnUnit(tx, fleetId, unitId, nowMs)) {
    const pattern = (await patternOf(tx, fleetId, asset)) ?? bare(asset);
    assets.push({ assetId: asset.assetId, kind: asset.kind, pattern, wanted: [] });
  }
  return assets;
}

function stepsFor(assets: readonly CardAsset[], input: NewJobCard): CardStep[] {
  // What was reported is looked into even where no pattern says how: everything on the unit is.
  const lookOver = input.kind === 'symptom' || input.kind === 'incident' || input.kind === 'intake';
  const nothing = assets.every((asset) => asset.wanted.length === 0);
  const whole: Wanted[] =
    lookOver && nothing ? [{ pointKey: null, work: 'look', taskKey: null }] : [];
  const steps = cardSteps(
    whole.length > 0 ? assets.map((asset) => ({ ...asset, wanted: whole })) : assets,
    input.kind,
  );
  if (steps.length === 0) {
    throw new Problem('card_empty', 'Name tasks or points that are on the unit.');
  }
  const most = input.kind === 'yard' ? MAX_YARD_STEPS : MAX_STEPS;
  if (steps.length > most) {
    throw new Problem('card_too_long', `It would have ${steps.length} steps; at most ${most} go.`);
  }
  return steps;
}

/** Where something is measured, with what was read there last. */
async function withReadings(work: Work, steps: readonly CardStep[]): Promise<CardStep[]> {
  const { tx, fleetId, nowMs } = work;
  const found: CardStep[] = [];
  for (const step of steps) {
    const { assetId, pointKey, wearParts } = step;
    if (step.work !== 'measure' || pointKey === null) found.push(step);
    else {
      const place = { assetId, pointKey, parts: wearParts.map(({ key }) => key) };
      found.push({ ...step, lastReadings: await lastReadings(tx, fleetId, place, nowMs) });
    }
  }
  return found;
}

/** The tasks of a card, and why each is on it. */
function tasksOf(
  assets: readonly CardAsset[],
  steps: readonly CardStep[],
  states: readonly UpkeepState[],
): JobCardRow['tasks'] {
  const found = new Map<string, JobCardRow['tasks'][number]>();
  for (const { assetId, tasks } of steps) {
    for (const task of tasks) {
      const key = `${assetId} ${task}`;
      if (found.has(key)) continue;
      const rule = isOn(assets, assetId).pattern.tasks.find((each) => each.key === task);
      const state = states.find((each) => each.assetId === assetId && each.taskKey === task);
      const why = state?.assessment.reasons.map((reason) => reason.text) ?? [];
      found.set(key, { assetId, task, name: rule?.name ?? task, why });
    }
  }
  return [...found.values()];
}

/** The earlier card and the visit are of the same unit. @throws Problem reference_unknown */
async function mustReferWell({ tx, fleetId }: Work, input: NewJobCard): Promise<void> {
  const { follows, visitId, unitId } = input;
  if (follows !== null && (await findJobCard(tx, fleetId, follows))?.unitId !== unitId) {
    throw new Problem('reference_unknown', 'follows names no card of this unit.');
  }
  if (visitId !== null && (await findVisit(tx, fleetId, visitId))?.unitId !== unitId) {
    throw new Problem('reference_unknown', 'visitId names no visit of this unit.');
  }
}

/**
 * Writes up a job card: the work on one unit, with its steps frozen as the patterns say now. Called
 * with no tasks and no points by whoever has looked into nothing yet, it takes what
 * {@link proposedTasks} proposes; that is the caller's choice.
 *
 * @throws Problem not_found, reference_unknown, card_empty, card_too_long
 */
export async function writeUpJobCard(
  work: Work,
  by: Actor,
  input: NewJobCard,
): Promise<JobCardRow> {
  const { tx, fleetId, nowMs } = work;
  await mustFindUnit(tx, fleetId, input.unitId, nowMs);
  await mustReferWell(work, input);
  const fitted = await cardAssets(tx, fleetId, input.unitId, nowMs);
  const mend = await mending(work, input.unitId, fitted, input.findings ?? []);
  const assets = collect(fitted, { ...input, rest: [...(input.rest ?? []), ...mend] });
  const steps = await withReadings(work, stepsFor(assets, input));
  const states = await upkeepOfUnit(tx, fleetId, input.unitId);
  const row: JobCardRow = {
    fleetId,
    cardId: uuid(),
    unitId: input.unitId,
    kind: input.kind,
    state: 'written_up',
    reasons: [...input.reasons],
    tasks: tasksOf(assets, steps, states),
    causeKind: input.cause?.kind ?? null,
    causeId: input.cause?.id ?? null,
    visitId: input.visitId,
    follows: input.follows,
    writtenUpAtMs: nowMs,
    writtenUpBy: by.personId === null ? `key/${by.keyId}` : `person/${by.personId}`,
    begunAtMs: null,
    togetherSafe: null,
    restReason: null,
    workEndedAtMs: null,
    endedBy: null,
    closedAtMs: null,
    seal: null,
  };
  const rows = steps.map((step, i): CardStepRow => {
    const { assetId, work: stepWork, pointKey, tasks, liftCritical } = step;
    const stepId = uuid();
    return {
      ...{ fleetId, cardId: row.cardId, stepNo: i + 1, stepId, assetId, pointKey, liftCritical },
      work: stepWork,
      taskKeys: tasks,
      step,
    };
  });
  await insertJobCard(tx, row, rows);
  work.record({
    type: 'job_card.written_up',
    subject: `unit/${input.unitId}`,
    data: {
      cardId: row.cardId,
      kind: row.kind,
      tasks: row.tasks.map(({ assetId, task }) => ({ assetId, task })),
      steps: rows.length,
      cause: input.cause,
      follows: row.follows,
      visitId: row.visitId,
    },
    personal: { by: by.name, reasons: row.reasons },
    occurredAtMs: nowMs,
  });
  return row;
}

const wants = (status: UpkeepState['status']) => status === 'in_window' || status === 'overrun';

/**
 * The tasks that want doing on a unit now, in their window or past their limit, and that are on no
 * open card of it yet.
 */
export async function proposedTasks(work: Work, unitId: string): Promise<TaskOfAsset[]> {
  const { tx, fleetId, nowMs } = work;
  await mustFindUnit(tx, fleetId, unitId, nowMs);
  const open = await openCardsOfUnit(tx, fleetId, unitId);
  const taken = new Set(
    open.flatMap((card) => card.tasks.map(({ assetId, task }) => `${assetId} ${task}`)),
  );
  const states = await upkeepOfUnit(tx, fleetId, unitId);
  return (
    states
      // Where a silent meter makes it unknown, what is known may be enough.
      .filter(({ status, assessment }) => wants(status) || wants(assessment.knownStatus))
      .filter(({ assetId, taskKey }) => !taken.has(`${assetId} ${taskKey}`))
      .map(({ assetId, taskKey }) => ({ assetId, taskKey }))
  );
}
