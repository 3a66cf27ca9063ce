import { crashPoint } from '../crash-points.ts';
import { settle } from '../domain/usage/fold.ts';
import { LineFold, type Refolded, resumeFor } from '../domain/usage/fold-line.ts';
import { comparePositions, type Position } from '../domain/usage/run.ts';
import type { KeptVerdict, Segment, Share } from '../domain/usage/segment.ts';
import { SegmentBuilder } from '../domain/usage/segment-builder.ts';
import { type Attribute, calendarDayAt, type MeterSource } from '../domain/usage/split.ts';
import type { LineRow } from '../store/counter.ts';
import {
  lineProgressOf,
  replaceSegments,
  saveLineProgress,
  segmentsFrom,
  sharesOnDays,
} from '../store/fold-segment.ts';
import { unitsOfAssets } from '../store/install.ts';
import { dirtyLines, type LineMark, takeLine, takeLineMarks } from '../store/line-mark.ts';
import { markUnits } from '../store/unit-mark.ts';
import {
  insertClosedDayEntries,
  lineDays,
  saveLineDays,
  type UsageChange,
} from '../store/usage.ts';
import { dropUsesUntil } from '../store/use-until.ts';
import { lineContext, lineRuns } from './line-context.ts';
import { type FlowDeps, type Work, withWork } from './work.ts';

const first: Position = { ordinal: -1, seq: -1 };
const last: Position = {
  ordinal: Number.MAX_SAFE_INTEGER,
  seq: Number.MAX_SAFE_INTEGER,
};

/** From where to where the marks say that something is new. */
function spanOf(marks: readonly LineMark[]): {
  from: Position;
  until: Position;
} {
  if (marks.some((mark) => mark.kind === 'whole')) return { from: first, until: last };
  let from = last;
  let until = first;
  for (const { fromOrdinal: ordinal, fromSeq, toSeq } of marks) {
    const [low, high] = [
      { ordinal, seq: fromSeq },
      { ordinal, seq: toSeq },
    ];
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
  line: LineRow,
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

/** Rewrites the use of every day that the fold touched; answers what changed. */
async function projectDays(
  work: Work,
  line: LineRow,
  touched: readonly Share[],
  provisional: readonly Share[],
): Promise<UsageChange[]> {
  if (touched.length === 0) return [];
  const { tx, fleetId } = work;
  const days = touched.map((share) => share.day).sort();
  const [fromDay, toDay] = [days[0]!, days.at(-1)!];
  const assetIds = [...new Set(touched.map((share) => share.assetId))];
  await dropUsesUntil(tx, fleetId, assetIds, line.meter, fromDay, toDay);
  const now = new Map<string, Share>(
    touched.map((share) => [keyOf(share), { ...share, grains: 0 }]),
  );
  const counted = await sharesOnDays(tx, fleetId, line.lineId, fromDay, toDay);
  for (const share of [...counted, ...provisional]) {
    const entry = now.get(keyOf(share));
    if (entry) now.set(keyOf(share), { ...entry, grains: entry.grains + share.grains });
  }
  const before = new Map(
    (await lineDays(tx, fleetId, line.lineId, fromDay, toDay)).map((s) => [keyOf(s), s.grains]),
  );
  const changes: UsageChange[] = [];
  for (const [key, share] of now) {
    const change = share.grains - (before.get(key) ?? 0);
    if (change !== 0) changes.push({ ...share, change });
  }
  await saveLineDays(tx, fleetId, line.lineId, line.meter, changes);
  return changes;
}

/** A day that was over when the line was last known there is closed: a change to it leaves an entry. */
async function noteClosedDays(
  work: Work,
  line: LineRow,
  changes: readonly UsageChange[],
  sources: readonly MeterSource[],
  knownToMs: number | null,
  whole: boolean,
): Promise<void> {
  if (knownToMs === null) return;
  const closed = changes.filter(({ assetId, day }) => {
    const source = sources.findLast((s) => s.assetId === assetId && s.fromMs <= knownToMs);
    return source ? day < calendarDayAt(source.calendar, knownToMs).day : false;
  });
  if (closed.length === 0) return;
  const reason = whole ? 'the line was folded anew' : 'readings arrived late';
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

/** Folds what is new on one line. Null when another worker has it or there was nothing to do. */
export async function foldLineUsage(work: Work, lineId: number): Promise<FoldedLine | null> {
  const { tx, fleetId, nowMs } = work;
  const line = await takeLine(tx, fleetId, lineId);
  if (!line) return null;
  const marks = await takeLineMarks(tx, fleetId, lineId);
  if (marks.length === 0) return null;
  const span = spanOf(marks);
  const whole = span.from === first;
  const context = await lineContext(tx, line);
  const stored = await segmentsFrom(tx, fleetId, lineId, span.from);
  const fold = new LineFold(context, stored, span);
  for await (const run of lineRuns(tx, line, resumeFor(stored, span.from).after)) {
    if (fold.push(run)) break;
  }
  const result: Refolded = fold.finish();
  const gone = stored.slice(result.replacedFrom, result.replacedTo);
  await replaceSegments(tx, fleetId, lineId, gone, result.segments);
  crashPoint('fold.segments_written');
  const before = await lineProgressOf(tx, fleetId, lineId);
  const head = result.agreed
    ? stored.at(-1)
    : (result.segments.at(-1) ?? stored[result.replacedFrom - 1]);
  const provisional = head ? provisionalShares(head, context.attribute, context.rules) : [];
  const touched = [
    ...gone.flatMap((segment) => segment.shares),
    ...result.segments.flatMap((segment) => segment.shares),
    ...(before?.provisional ?? []),
    ...provisional,
  ];
  const changes = await projectDays(work, line, touched, provisional);
  const subject = line.controller ? `controller/${line.controller}` : `line/${lineId}`;
  tellVerdicts(work, line, gone, result.segments, subject);
  await noteClosedDays(work, line, changes, context.sources, before?.lastAtMs ?? null, whole);
  const timed = head && head.state.base !== 'none';
  const progress = {
    lastAtMs: timed ? head.state.atMs : null,
    lastRaw: timed ? head.state.raw : null,
    provisional: [...provisional],
  };
  await saveLineProgress(tx, fleetId, lineId, progress, nowMs);
  const assets = [...new Set([...changes, ...context.sources].map((each) => each.assetId))];
  const units = await unitsOfAssets(tx, fleetId, assets, nowMs);
  for (const shard of await markUnits(tx, fleetId, units, nowMs)) work.wake('assess', shard);
  crashPoint('fold.before_commit');
  return { segments: result.segments.length, daysChanged: changes.length };
}

const linesAtOnce = 200;

/** Folds the dirty lines of a shard until none is left; stops early when told to. */
export async function foldShard(
  deps: FlowDeps,
  shard: number,
  signal?: AbortSignal,
): Promise<number> {
  let folded = 0;
  for (;;) {
    const lines = await dirtyLines(deps.pools.scheduler, shard, linesAtOnce);
    let progress = 0;
    for (const { fleetId, lineId } of lines) {
      if (signal?.aborted) return folded;
      if (!(await withWork(deps, fleetId, (work) => foldLineUsage(work, lineId)))) continue;
      progress += 1;
      crashPoint('fold.after_commit');
    }
    folded += progress;
    if (progress === 0) return folded;
  }
}
