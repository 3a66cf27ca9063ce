import { CALENDAR, crossedDriver, earliest, formatDay } from './measure-task.ts';
import { factorOn, SEVERITY_KINDS, type SeverityKind, severitySpans } from './severity.ts';
import { couldBe, type Working } from './task-working.ts';
import { type Reason, reasonText, type Share } from './upkeep-reason.ts';

/** Why an assessment says what it says, the most telling first. */
export function explain(
  w: Working,
  driver: string | null,
  partial: readonly string[],
): (Reason & { text: string })[] {
  const { meters, zone } = w.input;
  const reasons = [
    ...silences(w, (could) => could !== 'nothing'),
    ...standing(w, driver),
    ...deferral(w),
    ...silences(w, (could) => could === 'nothing'),
    ...background(w, partial),
  ];
  return reasons.map((reason) => ({ ...reason, text: reasonText(reason, { meters, zone }) }));
}

/** Where the known use stands, and what that does. */
function standing(w: Working, driver: string | null): Reason[] {
  const crossed = crossedDriver(w.measures);
  const measured = w.measures.find((m) => m.measure === driver);
  if (crossed && measured) {
    const { measure, used, full } = measured;
    const share: Share = { measure, used, full };
    if (w.overrunOn !== null) {
      const { overrunEffect: effect, functions } = w.input.rule;
      return [
        { code: 'beyond_limit', day: formatDay(w.overrunOn)!, share },
        { code: 'effect', effect, functions },
      ];
    }
    const fullReached = measured.fullOn !== null;
    const day = formatDay(measured.fullOn ?? measured.openedOn)!;
    return [{ code: 'in_window', day, share, fullReached }];
  }
  const opens = earliest(w.projections, (p) => p.opensOn);
  if (opens) {
    const { by } = opens;
    return [{ code: 'ahead', day: formatDay(opens.day)!, by, exact: by === CALENDAR }];
  }
  const noDay = w.projections.find((p) => p.noDay !== null)?.noDay;
  return noDay ? [{ code: 'no_date', noDay }] : [];
}

function silences(w: Working, wanted: (could: ReturnType<typeof couldBe>) => boolean): Reason[] {
  return w.silents.flatMap((silent): Reason[] => {
    const could = couldBe(w, silent);
    if (!wanted(could)) return [];
    const measure = silent.meter;
    if (silent.why === 'none') return [{ code: 'no_source', measure, could }];
    return [{ code: 'silent', measure, sinceMs: silent.sinceMs, why: silent.reason, could }];
  });
}

function deferral(w: Working): Reason[] {
  const given = w.input.deferral;
  if (!given || !w.standing) return [];
  switch (w.standing.state) {
    case 'active':
      return [{ code: 'deferred', deferral: given }];
    case 'ended': {
      const day = formatDay(w.standing.endedOn)!;
      return [{ code: 'deferral_ended', day, approver: given.approver }];
    }
    case 'refused':
      return [{ code: 'deferral_refused', why: w.standing.reason }];
    case 'spent':
      return [];
  }
}

function background(w: Working, partial: readonly string[]): Reason[] {
  const reasons: Reason[] = [];
  const factor = factorOn(w.spans, w.today);
  const { rule, exposures } = w.input;
  // Of kinds with one factor only the one that holds today is named.
  const holds = (k: SeverityKind) => {
    const own = exposures.filter((each) => each.kind === k);
    return factorOn(severitySpans(rule.severity, own, w.today, w.today), w.today) === factor;
  };
  const kind = factor > 1000 ? SEVERITY_KINDS.find(holds) : undefined;
  if (kind) reasons.push({ code: 'severity', kind, factor });
  if (w.grid.done.estimated) reasons.push({ code: 'done_estimated', day: w.grid.done.day });
  if (partial.length > 0) reasons.push({ code: 'partial', measures: [...partial] });
  return reasons;
}
