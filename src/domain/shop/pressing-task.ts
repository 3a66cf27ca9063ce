import type { TaskAssessment } from '../upkeep/assess-task.ts';

/** What readiness needs of the assessment of a task that may take something away. */
export interface PressingWords {
  words: string;
  /** Overrun since, a local day. */
  since: string | null;
  /** From when on a meter is silent that could change the answer. */
  silent: number | null;
  neverDone: boolean;
}

/**
 * Null: it takes nothing away, because it is inside its limit, or because no silent meter could
 * have brought it past.
 */
export function pressingOf(assessment: TaskAssessment): PressingWords | null {
  const { status, reasons, overrunSince, measures } = assessment;
  if (status === 'overrun') {
    const words = reasons[0]?.text ?? 'It is past its limit.';
    return { words, since: overrunSince, silent: null, neverDone: false };
  }
  if (status !== 'unknown') return null;
  const telling = reasons.find(
    (reason) =>
      reason.code === 'never_done' || ('could' in reason && reason.could === 'beyond_limit'),
  );
  if (!telling) return null;
  const silences = measures.flatMap(({ silentSinceMs }) => silentSinceMs ?? []);
  return {
    words: telling.text,
    since: null,
    silent: silences.length > 0 ? Math.min(...silences) : null,
    neverDone: telling.code === 'never_done',
  };
}
