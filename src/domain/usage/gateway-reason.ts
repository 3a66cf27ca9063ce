/** What is wrong with a gateway, in words for who looks after the trucks. Pure. */
import type { ContactNow } from './gateway-contact.ts';
import { localDay, localTime } from './local-day.ts';
import type { PtoBeyondEngine } from './pto-within-engine.ts';
import { type SwitchSuspect, suspectText } from './switch-suspect.ts';

/** Everything that a gateway's health can say. */
export type GatewayReason =
  | { code: 'silent'; contact: ContactNow; lastPostAtMs: number | null; habitMs: number }
  | { code: 'clock_fast' | 'clock_behind'; offsetMs: number }
  | { code: 'switch_suspect'; suspect: SwitchSuspect }
  | { code: 'pto_beyond_engine'; counter: string; found: PtoBeyondEngine }
  | { code: 'numbers_missing'; counter: string; numbers: number; from: number; to: number }
  | { code: 'conflict' | 'set_aside'; counter: string; count: number }
  | { code: 'refused'; counter: string; count: number; atMs: number }
  | { code: 'backlog'; sinceMs: number }
  | { code: 'no_unit' }
  | { code: 'no_counters' };

const minuteMs = 60_000;
const hourMs = 60 * minuteMs;
const dayMs = 24 * hourMs;

/** A stretch of time as people say it, rounded up: '5 min', '3 h', '2 days'. */
export function stretchText(ms: number): string {
  if (ms <= 90 * minuteMs) return `${Math.max(1, Math.ceil(ms / minuteMs))} min`;
  if (ms <= 48 * hourMs) return `${Math.ceil(ms / hourMs)} h`;
  return `${Math.ceil(ms / dayMs)} days`;
}

/** An instant on the yard's wall: the time alone when it is of today. */
export function momentText(atMs: number, nowMs: number, zone: string): string {
  const day = localDay(atMs, zone);
  const time = localTime(atMs, zone);
  return day === localDay(nowMs, zone) ? time : `${day} ${time}`;
}

const many = (count: number, one: string, more: string) => `${count} ${count === 1 ? one : more}`;

/** One sentence for a reason; `zone` is that of the unit's home yard. */
export function gatewayReasonText(reason: GatewayReason, nowMs: number, zone: string): string {
  const moment = (atMs: number) => momentText(atMs, nowMs, zone);
  switch (reason.code) {
    case 'silent': {
      const { contact, lastPostAtMs, habitMs } = reason;
      const since = moment(contact.sinceMs ?? nowMs);
      if (lastPostAtMs === null) return `It has not posted once since it was put on at ${since}.`;
      const habit = habitMs > 0 ? `; it usually posts at least every ${stretchText(habitMs)}` : '';
      return `Nothing since ${since}${habit}.`;
    }
    case 'clock_fast':
      return `Its clock is ${stretchText(reason.offsetMs)} fast.`;
    case 'clock_behind':
      return `Its clock was ${stretchText(-reason.offsetMs)} behind when it last said so.`;
    case 'switch_suspect':
      return suspectText(reason.suspect);
    case 'pto_beyond_engine': {
      const { fromDay, toDay, ptoSeconds, engineSeconds } = reason.found;
      const [pto, engine] = [ptoSeconds, engineSeconds].map((s) => (s / 3_600).toFixed(1));
      const when = fromDay === toDay ? `on ${fromDay}` : `from ${fromDay} to ${toDay}`;
      return (
        `${reason.counter} rose by ${pto} h ${when}, the engine by ${engine} h only: one of the ` +
        'two counts wrongly.'
      );
    }
    case 'numbers_missing': {
      const { counter, numbers, from, to } = reason;
      const readings = many(numbers, 'reading is', 'readings are');
      const where = from === to ? `number ${from}` : `from number ${from} to ${to}`;
      return `${counter}: ${readings} missing, ${where}; it should send or give them up.`;
    }
    case 'conflict': {
      const numbers = many(reason.count, 'reading was', 'readings were');
      return `${reason.counter}: ${numbers} sent with two values; a person decides.`;
    }
    case 'set_aside': {
      const readings = many(reason.count, 'reading does', 'readings do');
      return `${reason.counter}: ${readings} not fit what stood before; a person decides.`;
    }
    case 'refused': {
      const readings = many(reason.count, 'reading was', 'readings were');
      const last = moment(reason.atMs);
      return `${reason.counter}: ${readings} refused for good, the last at ${last}.`;
    }
    case 'backlog':
      return `What came since ${moment(reason.sinceMs)} is not counted yet.`;
    case 'no_unit':
      return 'It is on no unit, so what it counts belongs to none.';
    case 'no_counters':
      return 'It has not said what it counts.';
  }
}
