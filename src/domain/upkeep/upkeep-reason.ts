import { localDay } from '../usage/local-day.ts';
import { type Dimension, grainsPerUnit, type Meter } from '../usage/meter.ts';
import type { Day } from './calendar.ts';
import type { Deferral, DeferralRefusal } from './deferral.ts';
import { CALENDAR } from './measure-task.ts';
import type { NoDay } from './project-task.ts';
import type { UnitFunction } from './service-point.ts';
import type { SeverityKind } from './severity.ts';
import type { CallCause } from './task-call.ts';
import type { OverrunEffect } from './task-rule.ts';

/** How much of one measure is used, for a sentence. In the measure's thousandths. */
export interface Share {
  measure: string;
  used: number;
  full: number;
}

/** Everything an assessment can say. One catalogue, so that screens and messages agree. */
export type Reason =
  | { code: 'never_done' }
  | { code: 'done_estimated'; day: Day }
  | { code: 'beyond_limit'; day: Day; share: Share }
  | { code: 'in_window'; day: Day; share: Share; fullReached: boolean }
  | { code: 'ahead'; day: Day; by: string; exact: boolean }
  | { code: 'no_date'; noDay: NoDay }
  | { code: 'silent'; measure: string; sinceMs: number; why: string; could: CouldBe }
  | { code: 'no_source'; measure: string; could: CouldBe }
  | { code: 'partial'; measures: string[] }
  | { code: 'severity'; kind: SeverityKind; factor: number }
  | { code: 'deferred'; deferral: Deferral }
  | { code: 'deferral_ended'; day: Day; approver: string }
  | { code: 'deferral_refused'; why: DeferralRefusal }
  | { code: 'called'; day: Day; cause: CallCause; what: string | null; more: number }
  | { code: 'effect'; effect: OverrunEffect; functions: UnitFunction[] };

/** What an unheard meter could have done: nothing that matters yet, opened, or passed the limit. */
export type CouldBe = 'nothing' | 'opened' | 'beyond_limit';

export interface ReasonWords {
  meters: readonly Meter[];
  zone: string;
}

const REFUSALS: Record<DeferralRefusal, string> = {
  statutory: 'a legal date cannot be deferred',
  nobody_may: 'nobody may extend this task',
  role: 'the approver may not extend this task',
  needs_use: 'it must end by use as well as by date',
  other_meter: 'it names a meter that this task does not count',
};
const COULD: Record<CouldBe, string> = {
  nothing: 'which cannot change the answer yet',
  opened: 'it may already be in its window',
  beyond_limit: 'it may already be past its limit',
};
const NO_DATES: Record<NoDay, string> = {
  rate_unknown: 'the rate of use is not known',
  rate_zero: 'it was not used on the full days of the last 28',
  beyond_horizon: 'it is more than ten years off',
};
const EFFECTS: Record<OverrunEffect, string> = {
  none: 'It does not change what the unit may do.',
  warn: 'It is a warning only.',
  limited: 'It limits',
  no: 'It takes away',
};

const CALLED_BY: Record<CallCause, string> = {
  symptom: 'a symptom was told',
  incident: 'there was an incident',
  walk_round: 'a walk-round found a defect',
  intake: 'the unit joined',
  person: 'the shop asked for it',
};

/** One short English sentence, built from the data alone. */
export function reasonText(reason: Reason, words: ReasonWords): string {
  switch (reason.code) {
    case 'never_done':
      return 'Nothing says when it was last done.';
    case 'done_estimated':
      return `That it was last done on ${reason.day} is an estimate.`;
    case 'beyond_limit':
      return `Past its limit since ${reason.day}: ${shareText(reason.share, words)}.`;
    case 'in_window': {
      const reached = reason.fullReached ? 'Full interval reached' : 'In its window since';
      return `${reached} ${reason.day}: ${shareText(reason.share, words)}.`;
    }
    case 'ahead':
      return `Opens ${reason.exact ? 'on' : 'about'} ${reason.day} by ${nameOf(reason.by)}.`;
    case 'no_date':
      return `No date can be given: ${NO_DATES[reason.noDay]}.`;
    case 'partial':
      return `The dates leave out ${reason.measures.map(nameOf).join(', ')}.`;
    case 'severity':
      return `${capital(nameOf(reason.kind))} counts ${decimal(reason.factor, 1000)} times now.`;
    case 'effect': {
      const what = reason.functions.map(nameOf).join(', ');
      const stops = reason.effect === 'limited' || reason.effect === 'no';
      return stops ? `${EFFECTS[reason.effect]}: ${what}.` : EFFECTS[reason.effect];
    }
    case 'called': {
      const what = reason.what === null ? '' : `: ${nameOf(reason.what)}`;
      const more = reason.more === 0 ? '' : ` (and ${reason.more} more since)`;
      return `Called due on ${reason.day}, because ${CALLED_BY[reason.cause]}${what}${more}.`;
    }
    case 'silent':
    case 'no_source':
      return silenceText(reason, words);
    default:
      return deferralText(reason, words);
  }
}

function silenceText(
  reason: Extract<Reason, { code: 'silent' | 'no_source' }>,
  words: ReasonWords,
): string {
  const could = COULD[reason.could];
  if (reason.code === 'no_source') return `Nothing counts ${nameOf(reason.measure)}: ${could}.`;
  const since = localDay(reason.sinceMs, words.zone);
  const name = capital(nameOf(reason.measure));
  return `${name} not known since ${since} (${nameOf(reason.why)}): ${could}.`;
}

function deferralText(
  reason: Extract<Reason, { code: 'deferred' | 'deferral_ended' | 'deferral_refused' }>,
  words: ReasonWords,
): string {
  if (reason.code === 'deferral_refused') return `Not deferred: ${REFUSALS[reason.why]}.`;
  if (reason.code === 'deferral_ended') {
    return `The deferral by ${reason.approver} ended on ${reason.day}.`;
  }
  const { untilDay, untilUse, approver, restriction } = reason.deferral;
  const use = Object.entries(untilUse).map(
    ([meter, grains]) => ` or ${amount(meter, grains * 1000, words)} more`,
  );
  const until = `${untilDay}${use.join('')}`;
  const but = restriction === null ? '' : `: ${restriction}`;
  return `Deferred until ${until} by ${approver}${but}.`;
}

/** '27 of 30 days', '83.25 of 100 PTO hours', '151 of 150 lift cycles'. */
function shareText(share: Share, words: ReasonWords): string {
  if (share.measure === CALENDAR) {
    return `${decimal(share.used, 1000)} of ${decimal(share.full, 1000)} days`;
  }
  const { scale } = scaleOf(share.measure, words);
  return `${decimal(share.used, scale)} of ${amount(share.measure, share.full, words)}`;
}

function amount(measure: string, thousandths: number, words: ReasonWords): string {
  const { scale, unit } = scaleOf(measure, words);
  return `${decimal(thousandths, scale)}${unit} ${nameOf(measure)}`;
}

const UNITS: Record<Dimension, string> = { hours: '', cycles: '', km: ' km' };

/** Thousandths of a grain in one unit, and the unit's sign. */
function scaleOf(measure: string, words: ReasonWords): { scale: number; unit: string } {
  const dimension = words.meters.find((m) => m.name === measure)?.dimension ?? 'cycles';
  return { scale: grainsPerUnit[dimension] * 1000, unit: UNITS[dimension] };
}

/** value / scale with two decimals, cut (not rounded: 99.999 h is not yet 100 h). */
function decimal(value: number, scale: number): string {
  const size = Math.abs(value) * 100;
  const hundredths = (size - (size % scale)) / scale;
  const whole = (hundredths - (hundredths % 100)) / 100;
  const rest = String(hundredths % 100)
    .padStart(2, '0')
    .replace(/0+$/, '');
  const sign = value < 0 && hundredths > 0 ? '-' : '';
  return `${sign}${whole}${rest === '' ? '' : `.${rest}`}`;
}

/** 'pto_hours' is said 'PTO hours'. */
export function nameOf(key: string): string {
  if (key === CALENDAR) return 'days';
  return key.replaceAll('_', ' ').replace(/\bpto\b/, 'PTO');
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
