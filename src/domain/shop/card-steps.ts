import type { Fastener } from '../upkeep/fastener.ts';
import type { LiftPattern } from '../upkeep/lift-pattern.ts';
import type { Limit } from '../upkeep/point-limit.ts';
import type { PointTap } from '../upkeep/point-tap.ts';
import type {
  LiftPosition,
  Quantity,
  ServicePoint,
  Side,
  Torque,
} from '../upkeep/service-point.ts';
import { type WorkKind, workOn } from '../upkeep/task-work.ts';
import type { AssetKind } from '../usage/meter.ts';
import type { CardKind } from './job-card.ts';
import { type LiftMove, moveTo, positionText } from './lift-move.ts';
import { howOf, stepCautions, titleOf } from './step-words.ts';
import {
  endsCardIfUnfit,
  needsControls,
  type StepWork,
  stepWorkOf,
  stepWorks,
  tapsOverAll,
} from './step-work.ts';

/** What a card takes from a pattern. */
export type CardPattern = Pick<LiftPattern, 'name' | 'servicePoints' | 'tasks' | 'wearParts'>;

/** One asset of the unit and what is to be done on it. */
export interface CardAsset {
  assetId: string;
  kind: AssetKind;
  pattern: CardPattern;
  wanted: readonly Wanted[];
}

/** What can be asked for: what a task does, or mending what was found. */
export type WantedWork = WorkKind | 'mend';

/** Work on one point, or a task without points, for a task or for no task. */
export interface Wanted {
  pointKey: string | null;
  work: WantedWork;
  taskKey: string | null;
  /** What is to be mended: the finding, in words, and whether it makes the unit unfit. */
  finding?: { findingId: string; words: string; unfit: boolean } | null;
}

/** What a wear part is held against. Figures are thousandths of `unit`. */
export interface WearFigure {
  key: string;
  name: string;
  unit: string;
  nominalThousandths: number | null;
  limitThousandths: number | null;
}

/** What was read at a place before the card was written up. */
export interface LastReading {
  /** Of a wear part; null: of the place itself. */
  part: string | null;
  thousandths: number | null;
  unit: string | null;
  gauge: string | null;
  atMs: number;
}

/** One step of a card, frozen as the pattern said it when the card was written up. */
export interface CardStep {
  work: StepWork;
  assetId: string;
  assetKind: AssetKind;
  pointKey: string | null;
  /** The tasks of the asset that it is part of. */
  tasks: string[];
  /** What it mends. */
  findingId: string | null;
  title: string;
  side: Side | null;
  place: string | null;
  /** Of a step over a whole asset: the places it takes in. */
  points: { key: string; name: string; side: Side; place: string }[];
  position: LiftPosition;
  move: LiftMove | null;
  how: string[];
  tool: string | null;
  fits: string | null;
  torque: Torque | null;
  fastener: Fastener | null;
  lubricant: string | null;
  lubricantCode: string | null;
  quantity: Quantity | null;
  /** What is measured here and where it must stay. */
  limits: Limit[];
  /** Wear parts that are measured here, by their keys in the pattern. */
  wearParts: WearFigure[];
  lastReadings: LastReading[];
  gloves: 'wear' | 'never' | null;
  taps: PointTap[];
  doneWhen: string | null;
  usualMistake: string | null;
  oftenMissed: boolean;
  liftCritical: boolean;
  endsCardIfUnfit: boolean;
  needsControls: boolean;
  cautions: string[];
}

/** Most steps of a card, moves included. */
export const MAX_STEPS = 500;
/** A short card in the yard. */
export const MAX_YARD_STEPS = 20;

/** What a task asks, point by point. */
export function wantedOfTask(pattern: CardPattern, taskKey: string): Wanted[] {
  const task = pattern.tasks.find((each) => each.key === taskKey);
  if (!task) return [];
  const points = new Map(pattern.servicePoints.map((point) => [point.key, point]));
  if (task.points.length === 0) {
    return [{ pointKey: null, work: task.work ?? 'look', taskKey }];
  }
  return task.points.map((pointKey) => {
    const point = points.get(pointKey);
    return { pointKey, work: point ? workOn(task, point) : 'look', taskKey };
  });
}

/** A step before its place in the order is known. */
interface Draft {
  work: StepWork;
  asset: CardAsset;
  /** What is worked on and whose cautions come with it; of a task without points: none. */
  points: ServicePoint[];
  /** Of a step over a whole asset: the places that it takes in; null: it is no such step. */
  over: readonly ServicePoint[] | null;
  tasks: string[];
  finding: Wanted['finding'];
}

/** The work on single points and tasks; the same work on a point for two tasks is one step. */
function pointDrafts(asset: CardAsset): Draft[] {
  const points = new Map(asset.pattern.servicePoints.map((point) => [point.key, point]));
  const drafts = new Map<string, Draft>();
  for (const { pointKey, work, taskKey, finding = null } of asset.wanted) {
    const point = pointKey === null ? undefined : points.get(pointKey);
    if (pointKey !== null && !point) continue;
    const stepWork = stepWorkOf(work, point?.kind ?? null);
    const key = `${stepWork} ${finding?.findingId ?? pointKey ?? `task ${taskKey}`}`;
    const tasks = taskKey === null ? [] : [taskKey];
    const same = drafts.get(key);
    if (!same) {
      const own = point ? [point] : [];
      drafts.set(key, { work: stepWork, asset, points: own, over: null, tasks, finding });
    } else if (taskKey !== null && !same.tasks.includes(taskKey)) same.tasks.push(taskKey);
  }
  return [...drafts.values()];
}

/** Work that changes or opens something: it is cleaned first, tried and looked at afterwards. */
const touches: readonly StepWork[] = ['measure', 'mend', 'replace', 'fasten', 'fill', 'grease'];

/** The steps that go over a whole asset: they come with the work, whatever the tasks are. */
function wholeDrafts(asset: CardAsset, drafts: readonly Draft[], kind: CardKind): Draft[] {
  const onCard = drafts.flatMap((draft) => draft.points);
  const whole = (work: StepWork, points: ServicePoint[], over: readonly ServicePoint[]): Draft => ({
    work,
    asset,
    points,
    over,
    tasks: [],
    finding: null,
  });
  const everything = asset.pattern.servicePoints;
  const found = [whole('first_look', onCard, everything)];
  if (kind === 'yard') return found;
  const keys = new Set(
    drafts
      .filter((draft) => touches.includes(draft.work))
      .flatMap((draft) => draft.points.map((point) => point.key)),
  );
  const touched = everything.filter((point) => keys.has(point.key));
  if (touched.length > 0) {
    found.push(whole('clean', touched, touched), whole('look_again', touched, touched));
  }
  if (drafts.some((draft) => touches.includes(draft.work))) {
    if (asset.kind === 'lift' || asset.kind === 'winch') {
      found.push(whole('function_test', onCard, []));
    }
    found.push(whole('wipe_and_look', onCard, []));
  }
  return found;
}

/** Inside a group the order is the pattern's own. */
function ordered(assets: readonly CardAsset[], drafts: readonly Draft[]): Draft[] {
  const place = new Map<string, number>();
  assets.forEach((asset, a) => {
    asset.pattern.servicePoints.forEach((point, i) => {
      place.set(`${asset.assetId} ${point.key}`, a * 1_000 + i + 1);
    });
  });
  const placeOf = ({ asset, points, over }: Draft) =>
    over !== null || !points[0]
      ? assets.indexOf(asset) * 1_000
      : (place.get(`${asset.assetId} ${points[0].key}`) ?? 0);
  const phase = (draft: Draft) => stepWorks.indexOf(draft.work);
  return drafts
    .map((draft, i) => ({ draft, i }))
    .sort(
      (a, b) =>
        phase(a.draft) - phase(b.draft) ||
        // Cleaning and looking over the whole come before the single places.
        placeOf(a.draft) - placeOf(b.draft) ||
        a.i - b.i,
    )
    .map(({ draft }) => draft);
}

function ofOnePoint(point: ServicePoint | undefined) {
  return {
    pointKey: point?.key ?? null,
    side: point?.side ?? null,
    place: point?.place ?? null,
    tool: point?.tool ?? null,
    fits: point?.fits ?? null,
    torque: point?.torque ?? null,
    fastener: point?.fastener ?? null,
    lubricant: point?.lubricant ?? null,
    lubricantCode: point?.lubricantCode ?? null,
    limits: point?.limits ?? [],
    gloves: point?.gloves ?? null,
    quantity: point?.quantity ?? null,
    doneWhen: point?.doneWhen ?? null,
    usualMistake: point?.usualMistake ?? null,
    oftenMissed: point?.oftenMissed ?? false,
  };
}

const wearPartsAt = (pattern: CardPattern, pointKey: string): WearFigure[] =>
  pattern.wearParts
    .filter((part) => part.points.includes(pointKey))
    .map(({ key, name, unit, nominalThousandths = null, limitThousandths = null }) => ({
      ...{ key, name, unit, nominalThousandths, limitThousandths },
    }));

function stepOf({ work, asset, points, over, tasks, finding }: Draft): CardStep {
  const point = over === null ? points[0] : undefined;
  const rules = asset.pattern.tasks.filter((task) => tasks.includes(task.key));
  const of = point?.name ?? rules[0]?.name ?? `${asset.pattern.name} (${asset.kind})`;
  const said = rules.flatMap((rule) => rule.cautions);
  const controls = asset.kind !== 'chassis' && needsControls(work, point?.kind ?? null);
  return {
    ...ofOnePoint(point),
    work,
    assetId: asset.assetId,
    assetKind: asset.kind,
    tasks,
    title: titleOf(work, of),
    points: (over ?? []).map(({ key, name, side, place }) => ({ key, name, side, place })),
    position: point?.liftPosition ?? {},
    move: null,
    findingId: finding?.findingId ?? null,
    how: finding ? [finding.words] : howOf(work, point ?? null),
    taps: over === null ? (point?.taps ?? []) : tapsOverAll(work),
    wearParts: point ? wearPartsAt(asset.pattern, point.key) : [],
    lastReadings: [],
    // To look at a place or to wipe it takes nobody's life; what holds the load does.
    liftCritical:
      finding?.unfit === true || ((point?.liftCritical ?? false) && changesThePoint(work)),
    endsCardIfUnfit: endsCardIfUnfit(work),
    needsControls: controls,
    cautions: stepCautions({ work, controls }, asset.kind, points, said),
  };
}

function changesThePoint(work: StepWork): boolean {
  return touches.includes(work) || work === 'test';
}

function moveStep(asset: CardAsset, move: LiftMove): CardStep {
  const draft: Draft = { work: 'move', asset, points: [], over: [], tasks: [], finding: null };
  const blocksOut = move.blocksOut ? ['Take the blocks out first.'] : [];
  const blocksIn = move.blocksIn ? ['Then set it on blocks.'] : [];
  const step = stepOf(draft);
  return {
    ...step,
    title: titleOf('move', positionText(move.to)),
    position: move.to,
    move,
    how: [...blocksOut, ...step.how, ...blocksIn],
  };
}

/**
 * The steps of a card in the order of the work: looks over everything before anything else, then
 * cleaning, looking again, measuring, the work, trying it, the last look; inside a group the
 * pattern's own order. A move stands wherever the lift must stand otherwise.
 */
export function cardSteps(assets: readonly CardAsset[], kind: CardKind): CardStep[] {
  const drafts = assets.flatMap((asset) => {
    const own = pointDrafts(asset);
    return own.length === 0 ? [] : [...wholeDrafts(asset, own, kind), ...own];
  });
  const stands = new Map<string, LiftPosition>();
  const steps: CardStep[] = [];
  for (const draft of ordered(assets, drafts)) {
    const { assetId } = draft.asset;
    const step = stepOf(draft);
    const move = moveTo(stands.get(assetId) ?? {}, step.position);
    if (move) {
      steps.push(moveStep(draft.asset, move));
      stands.set(assetId, move.to);
    }
    steps.push(step);
    // After the functions were run nobody knows how it stands.
    if (step.work === 'function_test') stands.delete(assetId);
  }
  return steps;
}
