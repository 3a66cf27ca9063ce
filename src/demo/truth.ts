/**
 * What the service must arrive at: use of every asset's meter, in grains, in total and by local
 * day. Worked out on its own, with the calendar of the platform, and never by the service's
 * code.
 */

/** Use between two readings of one call. */
export interface TrueUse {
  readonly asset: string;
  readonly meter: string;
  readonly timeZone: string;
  readonly fromMs: number;
  readonly toMs: number;
  readonly grains: number;
}

export class Truth {
  readonly #totals = new Map<string, number>();
  readonly #days = new Map<string, Map<string, number>>();

  /** Grains of an asset's meter so far. */
  total(asset: string, meter: string): number {
    return this.#totals.get(`${asset} ${meter}`) ?? 0;
  }

  /** Grains by local day; days without use are not in it. */
  days(asset: string, meter: string): ReadonlyMap<string, number> {
    return this.#days.get(`${asset} ${meter}`) ?? new Map();
  }

  /** Every asset and meter of which anything is known. */
  known(): { asset: string; meter: string }[] {
    return [...this.#totals.keys()].map((key) => {
      const [asset, meter] = key.split(' ') as [string, string];
      return { asset, meter };
    });
  }

  /** Called for use of nothing too, so that a meter that was read but never used is known. */
  add(use: TrueUse): void {
    const key = `${use.asset} ${use.meter}`;
    this.#totals.set(key, this.total(use.asset, use.meter) + use.grains);
    if (use.grains === 0) return;
    let days = this.#days.get(key);
    if (!days) {
      days = new Map();
      this.#days.set(key, days);
    }
    for (const [day, grains] of overDays(use)) days.set(day, (days.get(day) ?? 0) + grains);
  }
}

/**
 * Shares of the local days on which the use was; it lies inside one call, so these are one or
 * two.
 */
export function overDays(use: TrueUse): [string, number][] {
  const first = localTime(use.fromMs, use.timeZone);
  const last = localTime(use.toMs, use.timeZone);
  if (first.day === last.day) return [[last.day, use.grains]];
  const midnightMs = use.toMs - last.sinceMidnightMs;
  const beforeMs = midnightMs - use.fromMs;
  const allMs = use.toMs - use.fromMs;
  // Of two parts the one with the greater fraction is rounded up, the earlier of equal ones.
  const before = Math.floor((2 * use.grains * beforeMs + allMs) / (2 * allMs));
  const shares: [string, number][] = [
    [first.day, before],
    [last.day, use.grains - before],
  ];
  return shares.filter(([, grains]) => grains > 0);
}

const formats = new Map<string, Intl.DateTimeFormat>();
const hours = new Map<string, { day: string; hourMs: number }>();
const hoursMax = 20_000;

/**
 * The local day, and how long it is since midnight on a night when no clock is changed before
 * then.
 */
function localTime(atMs: number, timeZone: string): { day: string; sinceMidnightMs: number } {
  // Every zone of the demo keeps whole hours from UTC, so an hour has one local day.
  const hour = Math.floor(atMs / 3_600_000);
  const key = `${timeZone} ${hour}`;
  let known = hours.get(key);
  if (!known) {
    known = askHour(hour * 3_600_000, timeZone);
    if (hours.size >= hoursMax) hours.clear();
    hours.set(key, known);
  }
  return { day: known.day, sinceMidnightMs: known.hourMs + (atMs - hour * 3_600_000) };
}

function askHour(atMs: number, timeZone: string): { day: string; hourMs: number } {
  let format = formats.get(timeZone);
  if (!format) {
    format = new Intl.DateTimeFormat('en-US', {
      timeZone,
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
      hour: '2-digit',
      hourCycle: 'h23',
    });
    formats.set(timeZone, format);
  }
  const parts = new Map(format.formatToParts(atMs).map((part) => [part.type, part.value]));
  const day = `${parts.get('year')}-${parts.get('month')}-${parts.get('day')}`;
  return { day, hourMs: Number(parts.get('hour')) * 3_600_000 };
}
