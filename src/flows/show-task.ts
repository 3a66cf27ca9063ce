import { instantText, instantTextOrNull } from '../domain/instant.ts';
import type { LevelAssessment, MeasureAssessment } from '../domain/upkeep/assess-task.ts';
import { dayOf } from '../domain/upkeep/calendar.ts';
import type { TaskRule } from '../domain/upkeep/task-rule.ts';
import { builtInMeter, grainsPerUnit } from '../domain/usage/meter.ts';
import type { UpkeepState } from '../store/upkeep.ts';

type MeasureUnit = 'hours' | 'cycles' | 'km' | 'days';

/** Thousandths of a grain, or of a day, in one unit of the measure. */
function scaleOf(measure: string): { unit: MeasureUnit; per: number } {
  const meter = builtInMeter(measure);
  if (!meter) return { unit: 'days', per: 1000 };
  return { unit: meter.dimension, per: 1000 * grainsPerUnit[meter.dimension] };
}

function showMeasure(m: MeasureAssessment) {
  const { unit, per } = scaleOf(m.measure);
  const figure = (thousandths: number) => Number((thousandths / per).toFixed(6));
  const level = ({ at, left, day, past }: LevelAssessment) => ({
    at: figure(at),
    left: figure(left),
    day,
    past,
  });
  return {
    measure: m.measure,
    unit,
    used: figure(m.used),
    most: figure(m.most),
    known: m.known,
    silentSince: instantTextOrNull(m.silentSinceMs),
    opens: level(m.opens),
    full: level(m.full),
    limit: level(m.limit),
    noDay: m.noDay,
  };
}

function showDeferral(deferral: UpkeepState['assessment']['deferral']) {
  if (deferral === null) return null;
  const { state, approver, restriction } = deferral;
  return {
    state,
    approver,
    restriction,
    endedOn: deferral.state === 'ended' ? dayOf(deferral.endedOn) : null,
    reason: deferral.state === 'refused' ? deferral.reason : null,
  };
}

/** An assessed task as it is sent: figures in units, days as text, reasons in words. */
export function showTask(state: UpkeepState, rule: TaskRule | null) {
  const a = state.assessment;
  return {
    assetId: state.assetId,
    task: state.taskKey,
    name: rule?.name ?? state.taskKey,
    status: a.status,
    knownStatus: a.knownStatus,
    driver: a.driver,
    opens: a.opens,
    full: a.full,
    limit: a.limit,
    overrunSince: a.overrunSince,
    effect: a.effect,
    measures: a.measures.map(showMeasure),
    unknownBecause: a.unknownBecause,
    forecast: a.forecast,
    deferral: showDeferral(a.deferral),
    // What was assessed before there were calls does not speak of them.
    called: a.called ?? null,
    reasons: a.reasons.map((reason) => reason.text),
    cautions: rule?.cautions ?? [],
    assessedAt: instantText(state.assessedAtMs),
  };
}
