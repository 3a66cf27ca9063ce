import { startOfLocalDay } from '../usage/local-day.ts';
import { dayOf } from './calendar.ts';
import { lastGrainsOf } from './deferral.ts';
import { HORIZON_DAYS } from './project-task.ts';
import { instantReaching, instantReachingGrains } from './silence.ts';
import type { Working } from './task-working.ts';

/**
 * The first instant after now at which, without any new reading, something would change: a level
 * reached by the calendar, a projected date arriving, a meter going stale, a silent meter's most
 * possible use coming to a level, a deferral ending. Null: never.
 */
export function nextCheck(w: Working): number | null {
  const { nowMs, zone } = w.input;
  const days = dayCandidates(w).filter((day) => day > w.today);
  const instants = instantCandidates(w).filter((at) => at > nowMs);
  const firstDay = Math.min(...days);
  if (Number.isFinite(firstDay)) instants.push(startOfLocalDay(dayOf(firstDay), zone));
  return instants.length === 0 ? null : Math.min(...instants);
}

function dayCandidates(w: Working): number[] {
  const days: number[] = [];
  for (const { opensOn, fullOn, lastOn, noDay } of w.projections) {
    if (opensOn !== null) days.push(opensOn);
    if (fullOn !== null) days.push(fullOn);
    if (lastOn !== null) days.push(lastOn + 1);
    if (noDay === 'beyond_horizon') days.push(w.today + HORIZON_DAYS);
  }
  if (w.deferredTo !== null) days.push(w.deferredTo + 1);
  return days;
}

function instantCandidates(w: Working): number[] {
  const { rule, sources, deferral } = w.input;
  const instants: number[] = [];
  for (const { meter } of rule.meters) {
    const source = sources[meter];
    if (source?.kind === 'counting') instants.push(source.staleAtMs);
  }
  for (const silent of w.silents) {
    const measured = w.measures.find((m) => m.measure === silent.meter)!;
    for (const level of [measured.opens, measured.limit + 1]) {
      const at = instantReaching(silent, level, w.clock);
      if (at !== null) instants.push(at);
    }
    const last = deferral ? lastGrainsOf(deferral, silent.meter) : null;
    if (last !== null) instants.push(instantReachingGrains(silent, last + 1));
  }
  return instants;
}
