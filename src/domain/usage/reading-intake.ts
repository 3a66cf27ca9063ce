/**
 * Looks at one posted stream before anything is stored: which readings can be kept, which are
 * refused for good, and how much the post proves the device clock to be fast. Pure.
 */

export const intakeBounds = {
  streamsPerPost: 64,
  readingsPerStream: 5_000,
  readingsPerPost: 20_000,
  lostRangesPerStream: 100,
  /** A device clock ahead of ours by more than this is proven fast. */
  clockSlackMs: 120_000,
  /** An offset of more than a day is put on the readings that lie ahead of us, not on all. */
  offsetMaxMs: 86_400_000,
  /** The end of the year 9999; no later time is written anywhere. */
  atMaxMs: 253_402_300_799_999,
} as const;

/** What became of a posted reading or stream that is not stored. A closed list. */
export const refusals = [
  'malformed',
  'unknown_counter',
  'unknown_epoch',
  'too_many_readings',
  'too_many_gaps',
  'time_out_of_range',
  'value_out_of_width',
  'too_late',
] as const;
export type Refusal = (typeof refusals)[number];

export interface RefusedRange {
  from: number;
  to: number;
  verdict: Refusal;
}

/** A run of consecutive numbers, ready to store. `offsetMs` > 0: its times are that much fast. */
export interface IntakeRun {
  firstSeq: number;
  at: number[];
  raw: number[];
  offsetMs: number;
}

export interface RefusedReading {
  seq: number;
  verdict: Refusal;
  at: unknown;
  raw: unknown;
}

export interface PostedStream {
  counter: string;
  epoch: number;
  firstSeq: number;
  at: unknown[];
  raw: unknown[];
  lost: [number, number][];
}

export type ParsedStream =
  | { ok: true; stream: PostedStream }
  | { ok: false; counter: string | null; epoch: number | null; verdict: Refusal; detail: string };

const isSeq = (value: unknown): value is number =>
  Number.isSafeInteger(value) && Number(value) >= 0;

function parseLost(value: unknown): [number, number][] | null {
  if (value === undefined) return [];
  if (!Array.isArray(value) || value.length > intakeBounds.lostRangesPerStream) return null;
  const fits = value.every(
    (r) => Array.isArray(r) && r.length === 2 && isSeq(r[0]) && isSeq(r[1]) && r[0] <= r[1],
  );
  return fits ? (value as [number, number][]) : null;
}

/** Reads one member of `streams`: its frame only; single readings are judged by `sortReadings`. */
export function parsePostedStream(value: unknown): ParsedStream {
  const entry = (typeof value === 'object' && value !== null ? value : {}) as Record<
    string,
    unknown
  >;
  const counter = typeof entry.counter === 'string' ? entry.counter.slice(0, 40) : null;
  const epoch = isSeq(entry.epoch) ? entry.epoch : null;
  const refuse = (detail: string, verdict: Refusal = 'malformed'): ParsedStream => ({
    ok: false,
    counter,
    epoch,
    verdict,
    detail,
  });
  if (counter === null) return refuse('counter must be the name of a declared counter');
  if (epoch === null) return refuse('epoch must be a whole number from 0');
  const { at = [], raw = [] } = entry;
  if (!Array.isArray(at) || !Array.isArray(raw)) return refuse('at and raw must be arrays');
  if (at.length !== raw.length) return refuse('at and raw must have the same length');
  if (at.length > intakeBounds.readingsPerStream) {
    return refuse(`at most ${intakeBounds.readingsPerStream} readings`, 'too_many_readings');
  }
  const firstSeq = at.length === 0 ? (entry.firstSeq ?? 0) : entry.firstSeq;
  if (!isSeq(firstSeq) || !isSeq(firstSeq + at.length)) {
    return refuse('firstSeq must be a whole number from 0');
  }
  const lost = parseLost(entry.lost);
  if (lost === null) return refuse('lost must be a short list of [from, to]');
  return { ok: true, stream: { counter, epoch, firstSeq, at, raw, lost } };
}

/** The highest raw value that a counter of this width can show. */
export function rawMax(widthBits: number): number {
  return widthBits >= 53 ? Number.MAX_SAFE_INTEGER : 2 ** widthBits - 1;
}

function judgeReading(at: unknown, raw: unknown, max: number): Refusal | null {
  if (!Number.isSafeInteger(at) || !Number.isSafeInteger(raw)) return 'malformed';
  if ((at as number) < 0 || (at as number) > intakeBounds.atMaxMs) return 'time_out_of_range';
  if ((raw as number) < 0 || (raw as number) > max) return 'value_out_of_width';
  return null;
}

/** How far the device clock is proven fast by its own time at transmission, in ms; 0 when not. */
export function provenOffsetMs(deviceTimeMs: number | null, receivedAtMs: number): number {
  if (deviceTimeMs === null) return 0;
  const ahead = deviceTimeMs - receivedAtMs;
  return ahead > intakeBounds.clockSlackMs ? ahead : 0;
}

/**
 * Splits the readings of a stream into runs to store and readings to refuse. With a proven offset
 * every run carries it. Without one, readings at the end of the post that lie ahead of our clock
 * prove by themselves how fast the device is, at least; a single one ahead among honest ones
 * proves nothing and is left to the fold.
 */
export function sortReadings(
  stream: PostedStream,
  widthBits: number,
  offsetMs: number,
  receivedAtMs: number,
): { runs: IntakeRun[]; refused: RefusedReading[] } {
  const { at, raw, firstSeq } = stream;
  const max = rawMax(widthBits);
  const limit = receivedAtMs + intakeBounds.clockSlackMs;
  // A clock that is now years fast was not when it stamped what lies behind us.
  const whole = offsetMs <= intakeBounds.offsetMaxMs ? offsetMs : 0;
  if (isPlain(at, raw, max, whole > 0 ? intakeBounds.atMaxMs : limit)) {
    const run = { firstSeq, at: at as number[], raw: raw as number[], offsetMs: whole };
    return { runs: at.length > 0 ? [run] : [], refused: [] };
  }
  const aheadFrom = whole > 0 ? at.length : firstOfAheadTail(at, limit);
  let aheadOffset = 0;
  for (let i = aheadFrom; i < at.length; i++) {
    aheadOffset = Math.max(aheadOffset, (at[i] as number) - receivedAtMs);
  }
  const runs: IntakeRun[] = [];
  const refused: RefusedReading[] = [];
  let open: IntakeRun | null = null;
  for (let i = 0; i < at.length; i++) {
    const verdict = judgeReading(at[i], raw[i], max);
    if (verdict !== null) {
      refused.push({ seq: firstSeq + i, verdict, at: at[i], raw: raw[i] });
      open = null;
      continue;
    }
    if (open === null || i === aheadFrom || !stepFits(open, at[i] as number, raw[i] as number)) {
      const runOffset = i >= aheadFrom ? aheadOffset : whole;
      open = { firstSeq: firstSeq + i, at: [], raw: [], offsetMs: runOffset };
      runs.push(open);
    }
    open.at.push(at[i] as number);
    open.raw.push(raw[i] as number);
  }
  return { runs, refused };
}

/** Whether all readings make one run as they are: the usual case, told without copying anything. */
function isPlain(at: unknown[], raw: unknown[], rawLimit: number, atLimit: number): boolean {
  let lastAt = at[0];
  let lastRaw = raw[0];
  for (let i = 0; i < at.length; i++) {
    const time = at[i];
    const value = raw[i];
    if (!Number.isSafeInteger(time) || !Number.isSafeInteger(value)) return false;
    if ((time as number) < 0 || (time as number) > atLimit) return false;
    if ((value as number) < 0 || (value as number) > rawLimit) return false;
    if (Math.abs((time as number) - (lastAt as number)) > stepMax) return false;
    if (Math.abs((value as number) - (lastRaw as number)) > stepMax) return false;
    lastAt = time;
    lastRaw = value;
  }
  return true;
}

/**
 * Runs keep the steps from reading to reading in 32 bits; a wider one (25 days) begins a new
 * run.
 */
export const stepMax = 2 ** 31 - 1;

function stepFits(run: IntakeRun, at: number, raw: number): boolean {
  const last = run.at.length - 1;
  const atStep = at - (run.at[last] as number);
  const rawStep = raw - (run.raw[last] as number);
  return Math.abs(atStep) <= stepMax && Math.abs(rawStep) <= stepMax;
}

function firstOfAheadTail(at: unknown[], limit: number): number {
  let from = at.length;
  while (from > 0) {
    const value = at[from - 1];
    if (!Number.isSafeInteger(value) || (value as number) <= limit) break;
    if ((value as number) > intakeBounds.atMaxMs) break;
    from -= 1;
  }
  return from;
}

/** Joins consecutive refused readings with one verdict into ranges, for the answer. */
export function refusedRanges(refused: readonly RefusedReading[]): RefusedRange[] {
  const ranges: RefusedRange[] = [];
  for (const { seq, verdict } of refused) {
    const last = ranges.at(-1);
    if (last && last.to === seq - 1 && last.verdict === verdict) last.to = seq;
    else ranges.push({ from: seq, to: seq, verdict });
  }
  return ranges;
}
