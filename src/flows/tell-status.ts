import { type Cause, showCauses } from '../domain/events/cause.ts';
import { instantText } from '../domain/instant.ts';
import { type Announced, lastAnnounced } from '../store/event.ts';
import type { Standing } from '../store/standing.ts';
import type { UpkeepState } from '../store/upkeep.ts';
import type { Work } from './work.ts';

const changedType = 'task.status_changed';
const standingType = 'unit.standing_changed';

/** What a unit was said to be and is no more. */
interface Change {
  unitId: string;
  assetId: string;
  task: string;
  from: UpkeepState['status'] | null;
  /** Null: the task is none of this unit's any more. */
  to: UpkeepState['status'] | null;
  reason: string;
}

const withCauses = (causes: readonly Cause[]) =>
  causes.length > 0 ? { causes: showCauses(causes) } : {};

/**
 * The causes for which something that was announced was wrong at that moment already: whoever acted
 * on it may take that back. What was right when it was said, and has changed since, is not undone.
 */
const wrongSince = (announced: Announced | undefined, causes: readonly Cause[]): Cause[] =>
  announced ? causes.filter((cause) => cause.sinceMs < announced.recordedAtMs) : [];

const showAnnounced = (announced: Announced) => ({
  event: announced.number,
  at: instantText(announced.recordedAtMs),
});

export interface TaskChanges {
  unitId: string;
  before: readonly UpkeepState[];
  after: readonly UpkeepState[];
  /** What stood with this unit, or with another one, and does so no more. */
  gone: readonly UpkeepState[];
  causes: readonly Cause[];
}

function changesOf({ unitId, before, after, gone }: TaskChanges): Change[] {
  const changes: Change[] = gone.map((state) => ({
    unitId: state.unitId,
    assetId: state.assetId,
    task: state.taskKey,
    from: state.status,
    to: null,
    reason: 'It is no task of this unit any more.',
  }));
  for (const { assetId, taskKey: task, status, assessment } of after) {
    const was = before.find((b) => b.assetId === assetId && b.taskKey === task);
    if (was?.status === status) continue;
    const reason = assessment.reasons[0]?.text ?? '';
    changes.push({ unitId, assetId, task, from: was?.status ?? null, to: status, reason });
  }
  return changes;
}

/** Tells how tasks stand now, and what of that was wrong before, and why. */
export async function tellTaskChanges(work: Work, told: TaskChanges): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  const { causes } = told;
  const changes = changesOf(told);
  if (changes.length === 0) return;
  const subjects = [...new Set(changes.map((change) => `unit/${change.unitId}`))];
  const said = causes.length > 0 ? await lastAnnounced(tx, fleetId, subjects, changedType) : [];
  for (const { unitId, assetId, task, from, to, reason } of changes) {
    const subject = `unit/${unitId}`;
    const announced = said.find(
      (a) => a.subject === subject && a.assetId === assetId && a.task === task,
    );
    const wrong = from === null ? [] : wrongSince(announced, causes);
    if (announced && wrong.length > 0) {
      work.record({
        type: 'task.status_undone',
        subject,
        data: {
          assetId,
          task,
          undone: from,
          announced: showAnnounced(announced),
          now: to,
          causes: showCauses(wrong),
        },
        occurredAtMs: nowMs,
      });
    }
    work.record({
      type: changedType,
      subject,
      data: { assetId, task, from, to, reason, ...withCauses(causes) },
      occurredAtMs: nowMs,
    });
  }
}

/** Tells where a unit stands on the list now, and whether what was said of it was wrong. */
export async function tellStanding(
  work: Work,
  was: Standing | null,
  now: Standing,
  causes: readonly Cause[],
): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  const subject = `unit/${now.unitId}`;
  const place = ({ status, rank }: Standing) => ({ status, rank });
  if (was && causes.length > 0) {
    const [announced] = await lastAnnounced(tx, fleetId, [subject], standingType);
    const wrong = wrongSince(announced, causes);
    if (announced && wrong.length > 0) {
      work.record({
        type: 'unit.standing_undone',
        subject,
        data: {
          undone: place(was),
          announced: showAnnounced(announced),
          now: place(now),
          causes: showCauses(wrong),
        },
        occurredAtMs: nowMs,
      });
    }
  }
  work.record({
    type: standingType,
    subject,
    data: {
      from: was ? place(was) : null,
      to: place(now),
      reasons: now.reasons.reasons.map((reason) => reason.text),
      ...withCauses(causes),
    },
    occurredAtMs: nowMs,
  });
}
