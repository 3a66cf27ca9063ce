import { crashPoint } from '../crash-points.ts';
import { type Cause, joinCauses, showCauses } from '../domain/events/cause.ts';
import { shardOf } from '../domain/shard.ts';
import { settle } from '../domain/usage/fold.ts';
import { behindCut, LineFold, type Refolded, resumeFor } from '../domain/usage/fold-line.ts';
import { decisionOn } from '../domain/usage/fold-rules.ts';
import { comparePositions, type Position } from '../domain/usage/run.ts';
import type { KeptVerdict, Segment, Share } from '../domain/usage/segment.ts';
import { SegmentBuilder } from '../domain/usage/segment-builder.ts';
import { type Attribute, calendarDayAt, type MeterSource } from '../domain/usage/split.ts';
import { replaceSegments, segmentsFrom } from '../store/fold-segment.ts';
import { unitsOfAssets } from '../store/install.ts';
import { dirtyLines } from '../store/line-mark.ts';
import {
  daysBothWays,
  type LineMark,
  type LineSource,
  type LineWork,
  takeLine,
  takeLineWork,
  type WorkLine,
  writeFolded,
} from '../store/line-work.ts';
import { shardsWithCauses } from '../store/unit-mark.ts';
import { insertClosedDayEntries, type UsageChange } from '../store/usage.ts';
import { Faults } from './faults.ts';
import { lineContext, lineRuns } from './line-context.ts';
import { type FlowDeps, type Work, withWork } from './work.ts';

const last: Position = {
  ordinal: Number.MAX_SAFE_INTEGER,
  seq: Number.MAX_SAFE_INTEGER,
};

/** Before every reading. */
const nowhere: Position = { ordinal: -1, seq: -1 };

/** From where to where the marks say that something is new; `whole` from there to the end. */
function spanOf(marks: readonly LineMark[]): {
  from: Position;
  until: Position;
} {
  let from = last;
  let until = nowhere;
  for (const { kind, fromOrdinal: ordinal, fromSeq, toSeq } of marks) {
    const low = { ordinal, seq: fromSeq };
    const high = kind === 'whole' ? last : { ordinal, seq: toSeq };
    if (comparePositions(low, from) < 0) from = low;
    if (comparePositions(high, until) > 0) until = high;
  }
  return { from, until };
}

/** Verdicts worth an event; the others are only kept with the line. */
const told = new Set([
  'carried',
  'rollover',
  'reset',
  'set_aside',
  'spike',
  'rebase',
  'clock_suspect',
]);

function tellVerdicts(
  work: Work,
  line: WorkLine,
  gone: readonly Segment[],
  fresh: readonly Segment[],
  subject: string,
): void {
  const key = (v: KeptVerdict) => `${v.ordinal}/${v.seq}/${v.verdict}`;
  const before = new Set(gone.flatMap((segment) => segment.verdicts.map(key)));
  for (const verdict of fresh.flatMap((segment) => segment.verdicts)) {
    if (!told.has(verdict.verdict) || before.has(key(verdict))) continue;
    work.record({
      type: `reading.${verdict.verdict}`,
      subject,
      data: {
        lineId: line.lineId,
        meter: line.meter,
        ordinal: verdict.ordinal,
        seq: verdict.seq,
        lastSeq: verdict.lastSeq,
        raw: verdict.raw,
        ...verdict.detail,
      },
      occurredAtMs: verdict.atMs,
    });
  }
}

/** Use shown by readings whose time is not trusted yet; counts at the head only. */
function provisionalShares(
  head: Segment,
  attribute: Attribute,
  rules: Parameters<typeof settle>[1],
) {
  const sink = new SegmentBuilder(head.utcDay, head.start, attribute, null);
  settle(head.state, rules, sink);
  return sink.close(head.state).shares;
}

const keyOf = (share: Share) => `${share.day} ${share.assetId}`;

/** What the days that the fold touched come to now, where that is not what they were. */
async function changedDays(
  work: Work,
  line: WorkLine,
  touched: readonly Share[],
  span: { fromDay: string; toDay: string },
  provisional: readonly Share[],
): Promise<UsageChange[]> {
  const { tx, fleetId } = work;
  const now = new Map<string, Share>(
    touched.map((share) => [keyOf(share), { ...share, grains: 0 }]),
  );
  const both = await daysBothWays(tx, fleetId, line.lineId, span.fromDay, span.toDay);
  for (const share of [...both.counted, ...provisional]) {
    const entry = now.get(keyOf(share));
    if (entry) now.set(keyOf(share), { ...entry, grains: entry.grains + share.grains });
  }
  const before = new Map(both.projected.map((share) => [keyOf(share), share.grains]));
  const changes: UsageChange[] = [];
  for (const [key, share] of now) {
    const change = share.grains - (before.get(key) ?? 0);
    if (change !== 0) changes.push({ ...share, change });
  }
  return changes;
}

/** The units that the assets are on now, most of them known from the line's own sources. */
async function unitsToMark(
  work: Work,
  sources: readonly LineSource[],
  changes: readonly UsageChange[],
): Promise<{ unitId: string; shard: number }[]> {
  const { tx, fleetId, nowMs } = work;
  const here = sources.filter((source) => source.isNow);
  const known = new Set(here.map((source) => source.assetId));
  const others = changes.map((change) => change.assetId).filter((id) => !known.has(id));
  const elsewhere = await unitsOfAssets(tx, fleetId, [...new Set(others)], nowMs);
  const unitIds = new Set([...here.map((source) => source.unitId), ...elsewhere]);
  return [...unitIds].map((unitId) => ({ unitId, shard: shardOf(fleetId, unitId) }));
}

/** Whether the line was folded anew, and why. */
interface Anew {
  whole: boolean;
  causes: readonly Cause[];
}

const causeTexts: Record<Cause['what'], string> = {
  install_begun: 'an install was told',
  install_moved: 'an install was moved',
  install_corrected: 'an install was corrected',
  unit_moved: 'the unit has another home yard',
  yard_corrected: 'the time zone of the yard was corrected',
  meter_source_chosen: 'another meter source was chosen',
  meter_source_voided: 'a choice of meter source was taken back',
  hand_reading_voided: 'a reading by hand was voided',
  usage_adjusted: 'use was adjusted',
  usage_adjustment_withdrawn: 'an adjustment of use was withdrawn',
  reading_decided: 'a reading was decided on',
};

function reasonOf({ byHand }: WorkLine, whole: boolean, causes: readonly Cause[]): string {
  if (causes.length > 0) {
    return [...new Set(causes.map((cause) => causeTexts[cause.what]))].join('; ');
  }
  if (byHand) return 'a reading by hand was told late';
  return whole ? 'the line was folded anew' : 'readings arrived late';
}

const worldCalendar = [{ fromMs: 0, timeZone: 'UTC' }];

/**
 * A day that was over when the line was last known there is closed: a change to it leaves an entry.
 */
async function noteClosedDays(
  work: Work,
  line: WorkLine,
  changes: readonly UsageChange[],
  sources: readonly MeterSource[],
  knownToMs: number | null,
  { whole, causes }: Anew,
): Promise<void> {
  if (knownToMs === null) return;
  const earlier = sources.filter((source) => source.fromMs <= knownToMs);
  const closed = changes.filter(({ assetId, day }) => {
    // An asset that the line counts for no more has its days in the calendar of those it does.
    const source = earlier.findLast((s) => s.assetId === assetId) ?? earlier.at(-1);
    return day < calendarDayAt(source?.calendar ?? worldCalendar, knownToMs).day;
  });
  if (closed.length === 0) return;
  const reason = reasonOf(line, whole, causes);
  await insertClosedDayEntries(work.tx, work.fleetId, line.meter, closed, reason, work.nowMs);
  for (const assetId of new Set(closed.map((change) => change.assetId))) {
    const own = closed.filter((change) => change.assetId === assetId);
    const days = own.map((change) => change.day).sort();
    work.record({
      type: 'usage.closed_days_changed',
      subject: `asset/${assetId}`,
      data: {
        meter: line.meter,
        fromDay: days[0],
        toDay: days.at(-1),
        days: own.length,
        grains: own.reduce((sum, change) => sum + change.change, 0),
        reason,
        ...(causes.length > 0 ? { causes: showCauses(causes) } : {}),
      },
      occurredAtMs: work.nowMs,
    });
  }
}

export interface FoldedLine {
  segments: number;
  /** Rows of the daily projection that are not what they were. */
  daysChanged: number;
}

interface Folded {
  result: Refolded;
  gone: Segment[];
  head: Segment | undefined;
  provisional: readonly Share[];
  inDoubt: boolean;
}

/**
 * A correction that reaches behind the cut of a line changes nothing there: its readings are put
 * away. Whoever asked for it must be able to see that.
 */
function tellKept(work: Work, line: WorkLine, marks: readonly LineMark[], cut: Position): void {
  const behind = marks.filter(
    ({ causes, fromOrdinal: ordinal, fromSeq: seq }) =>
      causes.length > 0 && comparePositions({ ordinal, seq }, cut) <= 0,
  );
  if (behind.length === 0) return;
  work.record({
    type: 'usage.kept_behind_cut',
    subject: `line/${line.lineId}`,
    data: {
      meter: line.meter,
      ...cut,
      causes: showCauses(joinCauses(...behind.map((mark) => mark.causes))),
    },
    occurredAtMs: work.nowMs,
  });
}

/** Runs the fold over what the marks say is new, and writes its segments. */
async function foldMarked(
  work: Work,
  line: WorkLine,
  { marks, streams, sources, decided }: LineWork,
): Promise<Folded> {
  const { tx, fleetId } = work;
  const { lineId } = line;
  const context = lineContext(line, { streams, sources, decided });
  if (context.cut) tellKept(work, line, marks, context.cut);
  const { from, until } = spanOf(marks);
  const span = { from: behindCut(from, context.cut), until };
  const stored = await segmentsFrom(tx, fleetId, lineId, span.from);
  const fold = new LineFold(context, stored, span);
  for await (const run of lineRuns(tx, line, streams, resumeFor(stored, span.from).after)) {
    if (fold.push(run)) break;
  }
  const result = fold.finish();
  const gone = stored.slice(result.replacedFrom, result.replacedTo);
  await replaceSegments(tx, fleetId, lineId, gone, result.segments);
  const head = result.agreed
    ? stored.at(-1)
    : (result.segments.at(-1) ?? stored[result.replacedFrom - 1]);
  const provisional = head ? provisionalShares(head, context.attribute, context.rules) : [];
  // What went on from a reading that a person spoke of is spoken of with it.
  const first = head?.state.aside[0];
  const inDoubt = first !== undefined && decisionOn(first, context.rules) === null;
  return { result, gone, head, provisional, inDoubt };
}

/** Folds what is new on one line. Null when another worker has it or there was nothing to do. */
export async function foldLineUsage(work: Work, lineId: number): Promise<FoldedLine | null> {
  const { tx, fleetId, nowMs } = work;
  const line = await takeLine(tx, fleetId, lineId);
  if (!line) return null;
  const found = await takeLineWork(tx, line, nowMs);
  if (found.marks.length === 0) return null;
  const { result, gone, head, provisional, inDoubt } = await foldMarked(work, line, found);
  crashPoint('fold.segments_written');
  const before = found.progress;
  const touched = [
    ...gone.flatMap((segment) => segment.shares),
    ...result.segments.flatMap((segment) => segment.shares),
    ...(before?.provisional ?? []),
    ...provisional,
  ];
  const days = touched.map((share) => share.day).sort();
  const span = days.length > 0 ? { fromDay: days[0]!, toDay: days.at(-1)! } : null;
  const changes = span ? await changedDays(work, line, touched, span, provisional) : [];
  const subject = line.controller ? `controller/${line.controller}` : `line/${lineId}`;
  tellVerdicts(work, line, gone, result.segments, subject);
  const whole = found.marks.some((mark) => mark.kind === 'whole');
  const causes = joinCauses(...found.marks.map((mark) => mark.causes));
  const knownToMs = before?.lastAtMs ?? null;
  await noteClosedDays(work, line, changes, found.sources, knownToMs, { whole, causes });
  const timed = head && head.state.base !== 'none';
  const marks = await unitsToMark(work, found.sources, changes);
  await writeFolded(
    tx,
    fleetId,
    lineId,
    {
      meter: line.meter,
      days: changes,
      touched: span && { assetIds: [...new Set(touched.map((t) => t.assetId))], ...span },
      progress: {
        lastAtMs: timed ? head.state.atMs : null,
        lastRaw: timed ? head.state.raw : null,
        provisional: [...provisional],
        inDoubt,
      },
      marks,
      causes,
    },
    nowMs,
  );
  for (const { shard } of marks) work.wake('assess', shard);
  if (causes.length > 0) {
    for (const shard of await shardsWithCauses(tx, fleetId)) work.wake('assess', shard);
  }
  crashPoint('fold.before_commit');
  return { segments: result.segments.length, daysChanged: changes.length };
}

const linesAtOnce = 200;

/**
 * Folds the dirty lines of a shard until none is left; stops early when told to. A line that fails
 * stays marked and holds up none of the others.
 */
export async function foldShard(
  deps: FlowDeps,
  shard: number,
  signal?: AbortSignal,
): Promise<number> {
  let folded = 0;
  const faults = new Faults();
  for (;;) {
    const lines = await dirtyLines(deps.pools.scheduler, shard, linesAtOnce);
    let progress = 0;
    for (const { fleetId, lineId } of lines) {
      if (signal?.aborted) return folded;
      const key = `${fleetId}/${lineId}`;
      if (faults.has(key)) continue;
      const fold = () => withWork(deps, fleetId, (work) => foldLineUsage(work, lineId));
      if (!(await faults.pass(key, fold))) continue;
      progress += 1;
      crashPoint('fold.after_commit');
    }
    folded += progress;
    if (progress === 0) break;
  }
  faults.tell();
  return folded;
}
