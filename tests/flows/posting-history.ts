/** Random posting histories, played to two trucks alike, one of which is tidied up in between. */
import { expect } from 'vitest';
import { rebuildUsage } from '../../src/flows/rebuild-usage.ts';
import type { TestApp } from '../helpers/app.ts';
import {
  dayMs,
  type FleetBuilder,
  type Gateway,
  hourMs,
  type Settled,
  type Stream,
  type Truck,
} from '../helpers/fleet.ts';

export type Dice = (below: number) => number;

/** A small generator of our own: the same numbers for the same seed. */
export function dice(seed: number): Dice {
  let state = seed * 7_919 + 1;
  return (below) => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
}

export interface Step {
  /** Time that passes before it. */
  waitMs: number;
  post: Stream | null;
  headers: Record<string, string>;
  fold: boolean;
  /** Random moments for what the two trucks are not treated alike in. */
  tidy: boolean;
}

export interface HistoryKind {
  steps: number;
  /** Posts an hour, about. */
  perHour?: number;
  /** No reading comes later than this, nor is one sent again with another value. Default: any. */
  lateMs?: number;
}

/**
 * A device with all that goes wrong with one: posts of one to five readings, in and out of order,
 * resent, changed, lost, from clocks that are dead, behind or proven fast.
 */
export function postingHistory(roll: Dice, fromMs: number, history: HistoryKind): Step[] {
  const { steps, perHour = 3, lateMs = Infinity } = history;
  const all: Step[] = [];
  const sent: { atMs: number; stream: Stream }[] = [];
  const late: { atMs: number; stream: Stream }[] = [];
  let nowMs = fromMs;
  let raw = 1_000 + roll(64_000);
  let seq = 0;
  const reading = (i: number): [number, number] => {
    raw = (raw + roll(3)) % 65_536;
    const atMs = nowMs - i * 300_000;
    const value = roll(25) === 0 ? (raw + 9_000) % 65_536 : roll(20) === 0 ? raw - 1 : raw;
    const clock = roll(30);
    const shown = clock === 0 ? 1_000 : clock === 1 ? atMs - 30 * hourMs : atMs;
    return [shown, Math.max(0, value)];
  };
  for (let i = 0; i < steps; i += 1) {
    const waitMs = roll(15) === 0 ? roll(40) * hourMs : roll((2 * hourMs) / perHour);
    nowMs += waitMs;
    const kind = roll(12);
    let post: Stream | null = null;
    let madeMs = nowMs;
    let isAlike = true;
    let headers = {};
    if (kind === 0 && sent.length > 0) {
      const { atMs, stream: again } = sent[roll(sent.length)]!;
      // Now and then with another value for its first number.
      isAlike = roll(3) > 0 || nowMs - atMs > lateMs;
      madeMs = atMs;
      post = isAlike ? again : { ...again, raw: again.raw.map((v, k) => (k ? v : 7)) };
    } else if (kind === 1 && late.length > 0) {
      const [one] = late.splice(roll(late.length), 1);
      madeMs = one!.atMs;
      if (nowMs - madeMs <= lateMs) post = one!.stream;
    } else {
      const length = roll(2) === 0 ? 1 : 1 + roll(5);
      const readings = Array.from({ length }, (_, k) => reading(length - 1 - k));
      const at = readings.map(([ms]) => ms);
      const stream = { counter: 'lifts', firstSeq: seq, at, raw: readings.map(([, v]) => v) };
      seq += length;
      if (kind === 2 && seq > length) late.push({ atMs: nowMs, stream });
      else post = stream;
      if (post && roll(20) === 0) {
        headers = { 'device-time': String(nowMs + 600_000) };
        post = { ...post, at: at.map((ms) => ms + 600_000) };
      }
      if (post && kind === 3 && seq > 20) post = { ...post, lost: [[seq - 15, seq - 12]] };
    }
    if (post && isAlike) sent.push({ atMs: madeMs, stream: post });
    all.push({ waitMs, post, headers, fold: roll(3) === 0, tidy: roll(6) === 0 });
  }
  return all;
}

/** A truck and the service that it posts to. */
export interface Played {
  app: TestApp;
  truck: Truck;
}

/** Plays a history to both; what `seen` makes of their answers must be the same at every step. */
export async function play(
  [one, other]: readonly [Played, Played],
  steps: readonly Step[],
  tidy: () => Promise<unknown>,
  seen: (answer: Settled | Settled[]) => unknown = (answer) => answer,
): Promise<void> {
  const apps = new Set([one.app, other.app]);
  const wait = async (ms: number) => {
    for (const app of apps) await app.goTo(app.clock.nowMs() + ms);
  };
  for (const { waitMs, tidy: isTidied, post, headers, fold } of steps) {
    await wait(waitMs);
    if (isTidied) await tidy();
    const send = (gateway: Gateway) =>
      post ? gateway.one(post, headers) : gateway.heartbeat(headers);
    const answers = await Promise.all([send(one.truck.gateway), send(other.truck.gateway)]);
    expect(seen(answers[0])).toEqual(seen(answers[1]));
    if (fold) for (const app of apps) await app.answerCalls();
  }
  await wait(8 * dayMs);
  for (const app of apps) await app.settle();
}

/** All that the fold makes of a truck's readings, but for whose they are. */
export async function projection(app: TestApp, fleet: FleetBuilder, { liftId, gateway }: Truck) {
  const { rows } = await app.db.owner.query(
    `select json_build_array(s.start_ordinal, s.start_seq, s.end_ordinal, s.end_seq, s.utc_day,
        s.readings, s.state, (select sum((x ->> 2)::bigint) from jsonb_array_elements(s.shares) x),
        s.verdicts, s.unlisted) as row
     from liftwright.fold_segment s
     join liftwright.counter c on c.fleet_id = s.fleet_id and c.line_id = s.line_id
     where c.gateway_id = $1 order by s.start_ordinal, s.start_seq`,
    [gateway.id],
  );
  const progress = await app.db.owner.query(
    `select p.last_at, p.last_raw, p.in_doubt from liftwright.line_progress p
     join liftwright.counter c on c.fleet_id = p.fleet_id and c.line_id = p.line_id
     where c.gateway_id = $1`,
    [gateway.id],
  );
  return {
    segments: rows.map(({ row }) => row),
    progress: progress.rows,
    days: await fleet.days(liftId, 'lift_cycles'),
    verdicts: await gateway.verdicts(),
  };
}

/** Rows and readings of a gateway as they are stored. */
export async function stored(app: TestApp, gateway: Gateway) {
  const { rows } = await app.db.owner.query(
    `select count(*)::int as rows, coalesce(sum(last_seq - first_seq + 1), 0)::int as readings
     from liftwright.reading_run r join liftwright.stream s using (fleet_id, stream_id)
     join liftwright.counter c using (fleet_id, counter_id) where c.gateway_id = $1`,
    [gateway.id],
  );
  return rows[0] as { rows: number; readings: number };
}

/** Every reading of a gateway: number, time, value, arrival and offset, whatever row holds it. */
export async function everyReading(app: TestApp, gateway: Gateway): Promise<string[]> {
  const { rows } = await app.db.owner.query(
    `select (first_seq + i) || ' ' ||
        (first_at_ms + coalesce((select sum(x) from unnest(at_steps[:i]) x), 0)) || ' ' ||
        (first_raw + coalesce((select sum(x) from unnest(raw_steps[:i]) x), 0)) || ' ' ||
        ((extract(epoch from received_at) * 1000)::bigint
          + coalesce((select sum(x) from unnest(received_steps[:i]) x), 0)) || ' ' ||
        offset_ms as reading
     from liftwright.reading_run r join liftwright.stream s using (fleet_id, stream_id)
     join liftwright.counter c using (fleet_id, counter_id)
     cross join lateral generate_series(0, (last_seq - first_seq)::int) i
     where c.gateway_id = $1 order by first_seq + i`,
    [gateway.id],
  );
  return rows.map(({ reading }) => reading);
}

/** Folds everything anew and waits for what follows. */
export async function foldAnew(app: TestApp): Promise<void> {
  await rebuildUsage(app.deps, 1);
  await app.settle();
}
