import type { LastReading } from '../domain/shop/card-steps.ts';
import { countedAtMs } from '../domain/shop/merge-steps.ts';
import type { SaidOfStep } from '../domain/shop/step-command.ts';
import { Problem } from '../errors.ts';
import type { CardStepRow, JobCardRow } from '../store/job-card.ts';
import { nearestMeasurement } from '../store/measurement.ts';
import type { Tx } from '../store/tx.ts';
import { apart } from './apart.ts';
import { recordMeasurement } from './record-measurement.ts';
import type { Signer } from './sign.ts';
import type { Work } from './work.ts';

export interface MeasuredStep {
  findingId: string | null;
  /** Why the reading was not kept as a measurement; null: it was, or there was none. */
  why: string | null;
}

/**
 * Records what was measured in a step. A reading that cannot be kept as a measurement, such as one
 * of a place that the pattern no longer has, does not keep the step from being told: it stays in
 * the command, and why is answered.
 */
export async function measureStep(
  work: Work,
  by: Signer,
  row: JobCardRow,
  step: CardStepRow,
  said: SaidOfStep,
): Promise<MeasuredStep> {
  const { measurement } = said;
  const { pointKey } = step;
  if (measurement === null || pointKey === null) return { findingId: null, why: null };
  const { thousandths, unit } = measurement;
  const kept = await apart(work, (own) =>
    recordMeasurement(own, by, {
      assetId: step.assetId,
      pointKey,
      part: measurement.part,
      size: thousandths === null || unit === null ? null : { thousandths, unit },
      gauge: measurement.gauge,
      tool: measurement.tool,
      errorThousandths: null,
      wiped: measurement.wiped,
      temperatureTenths: measurement.temperatureTenthsC,
      atMs: countedAtMs(said.atMs, row.writtenUpAtMs, work.nowMs),
      note: said.words,
      measuredBy: { personId: by.personId, name: by.name },
      stepId: step.stepId,
    }),
  );
  if (kept instanceof Problem) return { findingId: null, why: kept.detail };
  return { findingId: kept.findingId, why: null };
}

/** What was last read at a place: of the place itself, and of each wear part there. */
export async function lastReadings(
  tx: Tx,
  fleetId: number,
  place: { assetId: string; pointKey: string; parts: readonly string[] },
  beforeMs: number,
): Promise<LastReading[]> {
  const { assetId, pointKey, parts } = place;
  const found: LastReading[] = [];
  for (const part of [null, ...parts]) {
    for (const unit of ['size', 'gauge'] as const) {
      const of = { assetId, pointKey, part, unit };
      const last = await nearestMeasurement(tx, fleetId, of, beforeMs, 'before');
      if (!last) continue;
      const { value: thousandths, unit: measured, gauge, atMs } = last;
      found.push({ part, thousandths, unit: measured, gauge, atMs });
    }
  }
  return found;
}
