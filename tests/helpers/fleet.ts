import type { TestApp } from './app.ts';
import { dayMs, hourMs, startMs } from './app.ts';
import type { Client, Json } from './client.ts';

const text = (ms: number) => new Date(ms).toISOString();

/** One PTO counter of 0.05 h a tick. */
export const ptoCounter = { counter: 'pto_hours', meter: 'pto_hours', resolution: 0.05 };
export const liftCounter = { counter: 'lifts', meter: 'lift_cycles', resolution: 1 };

/** Milliseconds in one tick of `ptoCounter`. */
export const tickMs = 180_000;

export interface Stream {
  counter?: string;
  epoch?: number;
  firstSeq: number;
  at: unknown[];
  raw: unknown[];
  lost?: unknown;
}

export interface Settled {
  counter: string | null;
  epoch: number | null;
  contiguous: number | null;
  highest: number | null;
  missing: [number, number][];
  accepted: number;
  duplicate: number;
  conflict: number;
  refused: { from: number | null; to: number | null; verdict: string; detail?: string }[];
}

/** A gateway with its own key. */
export class Gateway {
  readonly id: string;
  readonly client: Client;

  constructor(id: string, client: Client) {
    this.id = id;
    this.client = client;
  }

  /** Posts streams of `pto_hours` epoch 0 unless they say otherwise. */
  async post(streams: Stream[], headers: Record<string, string> = {}): Promise<Settled[]> {
    const body = { streams: streams.map((s) => ({ counter: 'pto_hours', epoch: 0, ...s })) };
    return (await this.client.made('/v1/readings', body, headers)).streams;
  }

  async one(stream: Stream, headers: Record<string, string> = {}): Promise<Settled> {
    return (await this.post([stream], headers))[0] as Settled;
  }

  heartbeat(headers: Record<string, string> = {}): Promise<Settled[]> {
    return this.post([], headers);
  }

  async declare(...counters: object[]): Promise<Json> {
    return this.client.made('/v1/gateways/me/counters', { counters });
  }

  async epoch(cause: string, counter = 'pto_hours'): Promise<number> {
    return (await this.client.made('/v1/gateways/me/epochs', { counter, cause })).epoch;
  }

  /** The verdicts that stand, as `seq verdict`, without the baseline. */
  async verdicts(): Promise<string[]> {
    const { items } = await this.client.read('/v1/gateways/me/verdicts');
    return items
      .filter((each: Json) => each.verdict !== 'baseline')
      .map((each: Json) => `${each.seq} ${each.verdict}`);
  }
}

/** Readings of an hour counter in one run: `[ms, ticks]`. */
export function run(firstSeq: number, ...readings: [atMs: number, raw: number][]): Stream {
  return { firstSeq, at: readings.map(([ms]) => ms), raw: readings.map(([, raw]) => raw) };
}

/** Long before anything in a test happens. */
export const sinceMs = startMs - 30 * dayMs;

let serial = 0;
const next = (word: string) => `${word}-${++serial}`;

export const point = {
  key: 'crossbar_pivot',
  kind: 'grease_fitting',
  name: 'Crossbar pivot',
  side: 'centre',
  place: 'Behind the crossbar, from the left',
};

export const greaseTask = {
  key: 'grease',
  name: 'Grease all fittings',
  points: ['crossbar_pivot'],
  every: { pto_hours: 10, days: 30 },
  overrunEffect: 'no',
  functions: ['wheel_lift'],
};

export const patternOf = (...tasks: object[]) => ({
  name: 'Crossbar wheel lift',
  assetKind: 'lift',
  servicePoints: [point],
  tasks,
  wearParts: [],
});

/** A unit with a lift and a gateway on it. */
export interface Truck {
  unitId: string;
  liftId: string;
  gateway: Gateway;
}

/** Somebody who can sign. */
export interface Signing {
  personId: string;
  /** The signature with the PIN, for the field `signature` of a body. */
  signature: { personId: string; pin: string };
}

/** Brings in what a fleet has, through the API like any client. */
export class FleetBuilder {
  readonly #app: TestApp;
  readonly client: Client;

  constructor(app: TestApp, client: Client = app.admin) {
    this.#app = app;
    this.client = client;
  }

  /** A person with a PIN, who may do these things from long ago on. */
  async person(competences: string[] = [], more: object = {}): Promise<Signing> {
    const { personId } = await this.client.made('/v1/people', { name: next('person') });
    const pin = String(280_100 + serial * 7);
    await this.client.made(`/v1/people/${personId}/pin`, { newPin: pin });
    for (const competence of competences) {
      const given = { competence, from: text(sinceMs), evidence: 'seen at work', ...more };
      await this.client.made(`/v1/people/${personId}/competences`, given);
    }
    return { personId, signature: { personId, pin } };
  }

  async yard(timeZone = 'America/Chicago'): Promise<string> {
    return (await this.client.made('/v1/yards', { name: next('yard'), timeZone })).yardId;
  }

  async unit(homeYardId: string, number = next('unit')): Promise<string> {
    return (await this.client.made('/v1/units', { number, homeYardId })).unitId;
  }

  async pattern(...tasks: object[]): Promise<string> {
    return (await this.client.made('/v1/patterns', { document: patternOf(...tasks) })).patternId;
  }

  async asset(kind = 'lift', patternId?: string): Promise<string> {
    const body = { kind, serial: next(kind), ...(patternId ? { patternId } : {}) };
    return (await this.client.made('/v1/assets', body)).assetId;
  }

  async gateway(...counters: object[]): Promise<Gateway> {
    const made = await this.client.made('/v1/gateways', { serial: next('gateway') });
    const gateway = new Gateway(made.gatewayId, this.#app.client(made.key));
    if (counters.length > 0) await gateway.declare(...counters);
    return gateway;
  }

  async install(
    unitId: string,
    what: { assetId: string } | { gatewayId: string },
    fromMs = sinceMs,
    more: object = {},
  ): Promise<Json> {
    return this.client.made('/v1/installs', { unitId, ...what, from: text(fromMs), ...more });
  }

  /** A unit of the yard with a lift of the pattern, and a gateway with the counters. */
  async truck(input: {
    yardId?: string;
    patternId?: string;
    number?: string;
    counters?: object[];
    fromMs?: number;
  }): Promise<Truck> {
    const { counters = [ptoCounter], fromMs = sinceMs } = input;
    const unitId = await this.unit(input.yardId ?? (await this.yard()), input.number);
    const liftId = await this.asset('lift', input.patternId);
    const gateway = await this.gateway(...counters);
    await this.install(unitId, { assetId: liftId }, fromMs);
    await this.install(unitId, { gatewayId: gateway.id }, fromMs);
    return { unitId, liftId, gateway };
  }

  async done(unitId: string, task: string, atMs: number, more: object = {}): Promise<Json> {
    const url = `/v1/units/${unitId}/tasks/${task}/done`;
    return this.client.made(url, { at: text(atMs), ...more });
  }

  async task(unitId: string, key = 'grease'): Promise<Json> {
    const { tasks } = await this.client.read(`/v1/units/${unitId}/tasks`);
    return tasks.find((task: Json) => task.task === key);
  }

  async measure(unitId: string, measure = 'pto_hours', key = 'grease'): Promise<Json> {
    const task = await this.task(unitId, key);
    return task.measures.find((each: Json) => each.measure === measure);
  }

  /** Grains by day of an asset's meter. */
  async days(assetId: string, meter = 'pto_hours'): Promise<Record<string, number>> {
    const url = `/v1/assets/${assetId}/usage?meter=${meter}&from=2026-01-15&to=2027-01-15`;
    const { meters } = await this.client.read(url);
    const days: Json[] = meters[0]?.days ?? [];
    return Object.fromEntries(days.map(({ day, grains }) => [day, grains]));
  }

  /** PTO hours of an asset on all days that `days` looks at. */
  async hours(assetId: string): Promise<number> {
    const grains = Object.values(await this.days(assetId));
    return grains.reduce((sum, each) => sum + each, 0) / 3600;
  }

  /** Events of a type and subject, as they stand. */
  async events(filter: { type?: string; subject?: string }): Promise<Json[]> {
    const query = new URLSearchParams({ limit: '500', ...filter });
    return (await this.client.read(`/v1/events?${query}`)).items;
  }
}

export { dayMs, hourMs, startMs, text };
