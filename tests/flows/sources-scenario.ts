/**
 * Everything that decides whose use it was and who counted it, told in a random order: installs
 * begun, moved, corrected, ended, withdrawn; choices made and taken back; readings by devices and
 * by hand, late, voided, given again. A fresh fleet that is told only what then stands must have
 * the same use.
 */
import { expect } from 'vitest';
import type { TestApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import {
  dayMs,
  type FleetBuilder,
  type Gateway,
  hourMs,
  ptoCounter,
  run,
  startMs,
  text,
  tickMs,
} from '../helpers/fleet.ts';
import { type Dice, dice, foldAnew } from './posting-history.ts';

/** The things of one telling; the two tellings have their own, in the same places. */
interface World {
  units: string[];
  lifts: string[];
  gateways: Gateway[];
}

const daysLong = 12;
const fromMs = startMs - daysLong * dayMs;
/** Moments are of whole minutes, as people tell them. */
const moment = (roll: Dice) => fromMs + roll(daysLong * 24 * 60) * 60_000;

async function newWorld(fleet: FleetBuilder, yards: readonly string[]): Promise<World> {
  const world: World = { units: [], lifts: [], gateways: [] };
  for (const yardId of yards) world.units.push(await fleet.unit(yardId));
  for (let i = 0; i < 2; i += 1) world.lifts.push(await fleet.asset('lift'));
  for (let i = 0; i < 3; i += 1) world.gateways.push(await fleet.gateway(ptoCounter));
  return world;
}

type Reading = [atMs: number, raw: number];

/** What a device truly counted: some hours between readings, never faster than the clock. */
function deviceTruth(roll: Dice): Reading[] {
  const readings: Reading[] = [];
  let raw = roll(5_000);
  for (let atMs = fromMs + roll(600) * 60_000; atMs < startMs; ) {
    readings.push([atMs, raw]);
    const pauseMs = (1 + roll(14 * 60)) * 60_000;
    atMs += pauseMs;
    raw += roll(Math.floor(pauseMs / tickMs) + 1);
  }
  return readings;
}

interface Dial {
  atMs: number;
  value: number;
  meterReplaced: boolean;
}

/** What a dial truly showed; now and then it is another one. */
function dialTruth(roll: Dice): Dial[] {
  const readings: Dial[] = [];
  let tenths = roll(50_000);
  for (let atMs = fromMs + roll(1_440) * 60_000; atMs < startMs; ) {
    const meterReplaced = readings.length > 0 && roll(8) === 0;
    if (meterReplaced) tenths = roll(3_000);
    readings.push({ atMs, value: tenths / 10, meterReplaced });
    const pauseMs = (1 + roll(3 * 1_440)) * 60_000;
    atMs += pauseMs;
    tenths += roll(Math.floor(pauseMs / 360_000) + 1);
  }
  return readings;
}

interface Truth {
  devices: Reading[][];
  dials: Dial[][];
}

/** Tells one thing after another; what is refused is left out by both. */
class Telling {
  readonly #fleet: FleetBuilder;
  readonly #roll: Dice;
  readonly world: World;
  readonly #truth: Truth;
  readonly #posted: number[];
  refused = 0;
  done = 0;

  constructor(fleet: FleetBuilder, roll: Dice, world: World, truth: Truth) {
    this.#fleet = fleet;
    this.#roll = roll;
    this.world = world;
    this.#truth = truth;
    this.#posted = world.gateways.map(() => 0);
  }

  #pick<T>(list: readonly T[]): T {
    return list[this.#roll(list.length)] as T;
  }

  async #tell(url: string, body: object, method: 'POST' | 'PATCH' = 'POST'): Promise<void> {
    const { status } = await this.#fleet.client.call({ method, url, body });
    expect(status, `${url} ${JSON.stringify(body)}`).toBeLessThan(500);
    if (status < 300) this.done += 1;
    else this.refused += 1;
  }

  async #someInstall(): Promise<Json | undefined> {
    return this.#pick(await installsOf(this.#fleet, this.world));
  }

  async install(): Promise<void> {
    const { units, lifts, gateways } = this.world;
    const what =
      this.#roll(2) === 0 ? { assetId: this.#pick(lifts) } : { gatewayId: this.#pick(gateways).id };
    const from = moment(this.#roll);
    const end = from + (1 + this.#roll(8 * 24)) * hourMs;
    const to = this.#roll(2) === 0 ? {} : { to: text(end) };
    const move = this.#roll(3) === 0 ? { move: true } : {};
    const body = { unitId: this.#pick(units), ...what, from: text(from), ...to, ...move };
    await this.#tell('/v1/installs', body);
  }

  async correct(): Promise<void> {
    const install = await this.#someInstall();
    if (!install) return;
    const url = `/v1/installs/${install.installId}`;
    const reason = 'it was otherwise';
    const kind = this.#roll(6);
    if (kind === 0) return this.#tell(`${url}/withdraw`, { reason });
    if (kind === 1) return this.#tell(`${url}/end`, { at: text(moment(this.#roll)), reason });
    if (kind === 2) {
      const [a, b] = this.world.units;
      const what = this.#pick(['lift', 'gateway']);
      const at = text(moment(this.#roll));
      return this.#tell('/v1/installs/swap', { unitIds: [a, b], what, at, reason });
    }
    const change =
      kind === 3
        ? { unitId: this.#pick(this.world.units) }
        : kind === 4
          ? { from: text(moment(this.#roll)) }
          : { to: this.#roll(3) === 0 ? null : text(moment(this.#roll)) };
    return this.#tell(url, { ...change, reason }, 'PATCH');
  }

  async choose(): Promise<void> {
    const lift = this.#pick(this.world.lifts);
    const url = `/v1/assets/${lift}/meter-sources`;
    const said = { name: 'A. Penn', reason: 'it counts better' };
    const { choices } = await this.#fleet.client.read(url);
    if (choices.length > 0 && this.#roll(3) === 0) {
      return this.#tell(`${url}/${this.#pick<Json>(choices).choiceId}/withdraw`, said);
    }
    const source = this.#roll(3) === 0 ? 'hand' : { gatewayId: this.#pick(this.world.gateways).id };
    const from = moment(this.#roll);
    const to = this.#roll(2) === 0 ? null : text(from + (1 + this.#roll(5 * 24)) * hourMs);
    return this.#tell(url, { meter: 'pto_hours', source, from: text(from), to, ...said });
  }

  async readDial(): Promise<void> {
    const i = this.#roll(this.world.lifts.length);
    await this.giveDial(i, this.#pick(this.#truth.dials[i] as Dial[]));
  }

  async giveDial(lift: number, { atMs, ...dial }: Dial): Promise<void> {
    const body = { meter: 'pto_hours', ...dial, at: text(atMs), readBy: 'A. Penn' };
    await this.#tell(`/v1/assets/${this.world.lifts[lift]}/hand-readings`, body);
  }

  async voidDial(): Promise<void> {
    const url = `/v1/assets/${this.#pick(this.world.lifts)}/hand-readings`;
    const all = (await this.#fleet.client.all(url)).filter((each) => !each.meterReplaced);
    const one = all.length > 0 ? this.#pick(all) : null;
    if (one) await this.#tell(`${url}/${one.readingId}/void`, { name: 'B. Quill', reason: 'slip' });
  }

  /** The next readings of a device, or some that are late: always the first of all first. */
  async post(): Promise<void> {
    const i = this.#roll(this.world.gateways.length);
    const readings = this.#truth.devices[i] as Reading[];
    const first = this.#posted[i] === 0 ? 0 : this.#roll(readings.length);
    this.#posted[i] = 1;
    await this.postDevice(i, first, 1 + this.#roll(8));
  }

  async postDevice(gateway: number, first: number, count: number): Promise<void> {
    const readings = (this.#truth.devices[gateway] as Reading[]).slice(first, first + count);
    await (this.world.gateways[gateway] as Gateway).one(run(first, ...readings));
  }

  async postAll(): Promise<void> {
    for (const [i, readings] of this.#truth.devices.entries()) {
      await this.postDevice(i, 0, readings.length);
    }
  }
}

async function installsOf(fleet: FleetBuilder, { units }: World): Promise<Json[]> {
  const all: Json[] = [];
  for (const unitId of units)
    all.push(...(await fleet.client.all(`/v1/installs?unitId=${unitId}`)));
  return all;
}

/** Tells a fresh world what stands in another one, all at once. */
async function tellWhatStands(fleet: FleetBuilder, from: World, to: Telling): Promise<void> {
  const { world } = to;
  const same = <T>(ids: readonly T[], own: readonly T[], id: T): T => own[ids.indexOf(id)] as T;
  const ids = (gateways: readonly Gateway[]) => gateways.map(({ id }) => id);
  const gatewayOf = (id: string) => same(ids(from.gateways), ids(world.gateways), id);
  for (const each of await installsOf(fleet, from)) {
    const what =
      each.assetId === null
        ? { gatewayId: gatewayOf(each.gatewayId) }
        : { assetId: same(from.lifts, world.lifts, each.assetId) };
    const unitId = same(from.units, world.units, each.unitId);
    const more = each.to === null ? {} : { to: each.to };
    await fleet.install(unitId, what, Date.parse(each.from), more);
  }
  await to.postAll();
  for (const [i, lift] of from.lifts.entries()) {
    const read = await fleet.client.all(`/v1/assets/${lift}/hand-readings`);
    const stands = read.filter((each) => each.voided === null);
    for (const { at, value, meterReplaced } of stands.toSorted((a, b) => (a.at < b.at ? -1 : 1))) {
      await to.giveDial(i, { atMs: Date.parse(at), value, meterReplaced });
    }
  }
  for (const [i, lift] of from.lifts.entries()) {
    const { choices } = await fleet.client.read(`/v1/assets/${lift}/meter-sources`);
    const standing = choices.filter((each: Json) => each.withdrawn === null).reverse();
    for (const { source, meter, from: begins, to: ends } of standing) {
      const chosen = source.byHand
        ? 'hand'
        : { gatewayId: gatewayOf(source.counters[0].gatewayId) };
      const said = { name: 'A. Penn', reason: 'it counts better' };
      const body = { meter, source: chosen, from: begins, to: ends, ...said };
      await fleet.client.call({
        ...{ method: 'POST', url: `/v1/assets/${world.lifts[i]}/meter-sources`, body },
      });
    }
  }
}

/** Use by lift and day, and what became of the readings by hand. */
async function outcome(fleet: FleetBuilder, { lifts }: World): Promise<Json[]> {
  const found: Json[] = [];
  for (const lift of lifts) {
    const read = await fleet.client.all(`/v1/assets/${lift}/hand-readings`);
    const stands = read
      .filter((each) => each.voided === null)
      .map(({ at, value, counts, verdict, check }) => ({ at, value, counts, verdict, check }))
      .sort((a, b) => (a.at < b.at ? -1 : 1));
    found.push({ days: await fleet.days(lift), stands });
  }
  return found;
}

export interface Told {
  /** Grains of all lifts together, and how many things were told and refused. */
  grains: number;
  done: number;
  refused: number;
}

export async function orderOfTellingChangesNothing(
  app: TestApp,
  fleet: FleetBuilder,
  seed: number,
  steps: number,
): Promise<Told> {
  const roll = dice(seed);
  await app.goTo(startMs + hourMs);
  const yards = [await fleet.yard('America/Chicago'), await fleet.yard('Pacific/Auckland')];
  const truth: Truth = {
    devices: [0, 1, 2].map(() => deviceTruth(roll)),
    dials: [0, 1].map(() => dialTruth(roll)),
  };
  const told = new Telling(fleet, roll, await newWorld(fleet, yards), truth);
  const ways: (keyof Telling &
    ('install' | 'correct' | 'choose' | 'readDial' | 'voidDial' | 'post'))[] = [
    'install',
    'install',
    'correct',
    'choose',
    'readDial',
    'readDial',
    'voidDial',
    'post',
    'post',
  ];
  for (let i = 0; i < steps; i += 1) {
    await told[ways[roll(ways.length)] as (typeof ways)[number]]();
    const then = roll(6);
    if (then === 0) await app.settle();
    if (then === 1) await app.answerCalls();
  }
  await told.postAll();
  await app.settle();
  const fresh = new Telling(fleet, dice(0), await newWorld(fleet, yards), truth);
  await tellWhatStands(fleet, told.world, fresh);
  await app.settle();
  const before = await outcome(fleet, told.world);
  expect(before).toEqual(await outcome(fleet, fresh.world));
  await foldAnew(app);
  expect(await outcome(fleet, told.world)).toEqual(before);
  const days = before.flatMap((each) => Object.values<number>(each.days));
  const grains = days.reduce((sum, each) => sum + each, 0);
  return { grains, done: told.done, refused: told.refused };
}
