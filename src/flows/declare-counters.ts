import { shardOf } from '../domain/shard.ts';
import { frameBasisFault } from '../domain/usage/frame-basis.ts';
import {
  builtInMeter,
  formatGrains,
  minMsPerTick,
  parseResolution,
} from '../domain/usage/meter.ts';
import { contiguous, highest, parseMultirange } from '../domain/usage/number-set.ts';
import { Problem } from '../errors.ts';
import {
  type CounterRow,
  countersOf,
  insertCounter,
  insertLine,
  type LineMeaning,
  type LineRow,
  lockControllerLine,
  lockLine,
  openStream,
  type StreamRow,
  streamsOfCounters,
} from '../store/counter.ts';
import { installsOf, lockInstalls } from '../store/install.ts';
import type { Tx } from '../store/tx.ts';
import { checkJoin } from './join-controller.ts';
import { linkMeterSources } from './link-meter-sources.ts';
import { mustFindGateway } from './must-find.ts';
import type { Work } from './work.ts';

export interface CounterDeclaration {
  counter: string;
  meter: string;
  resolution: number;
  widthBits: number;
  scope: 'controller' | 'gateway';
  controller: string | null;
  basis: string;
  basisVersion: number;
}

export interface ShownCounter extends CounterDeclaration {
  epochs: {
    epoch: number;
    cause: StreamRow['cause'];
    contiguous: number | null;
    highest: number | null;
  }[];
}

const countersMax = 64;

function showCounter(row: CounterRow, streams: readonly StreamRow[]): ShownCounter {
  const { line } = row;
  const meter = builtInMeter(line.meter);
  const resolution = formatGrains(line.resolutionGrains, meter?.dimension ?? 'cycles');
  return {
    counter: row.name,
    meter: line.meter,
    resolution,
    widthBits: line.widthBits,
    scope: line.scope,
    controller: line.controller,
    basis: line.basis,
    basisVersion: line.basisVersion,
    epochs: streams
      .filter((stream) => stream.counterId === row.counterId)
      .map((stream) => {
        const seen = parseMultirange(stream.seen);
        const { epoch, cause } = stream;
        return {
          epoch,
          cause,
          contiguous: contiguous(seen),
          highest: highest(seen),
        };
      }),
  };
}

/** A gateway's counters with where each of their streams stands. */
export async function shownCounters(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
): Promise<ShownCounter[]> {
  return (await shownCountersOf(tx, fleetId, [gatewayId])).get(gatewayId) ?? [];
}

/** The same of many gateways, by gateway. */
export async function shownCountersOf(
  tx: Tx,
  fleetId: number,
  gatewayIds: readonly string[],
): Promise<Map<string, ShownCounter[]>> {
  const counters = await countersOf(tx, fleetId, gatewayIds);
  const ids = counters.map((counter) => counter.counterId);
  const streams = await streamsOfCounters(tx, fleetId, ids);
  const found = new Map<string, ShownCounter[]>();
  for (const counter of counters) {
    const list = found.get(counter.gatewayId) ?? [];
    list.push(showCounter(counter, streams));
    found.set(counter.gatewayId, list);
  }
  return found;
}

function check(declared: CounterDeclaration): LineMeaning {
  const meter = builtInMeter(declared.meter);
  if (!meter) throw new Problem('meter_unknown', `There is no meter "${declared.meter}".`);
  const resolution = parseResolution(declared.resolution, meter.dimension);
  if (!resolution.ok) {
    throw new Problem('resolution_invalid', `${declared.counter}: ${resolution.reason}.`);
  }
  const { scope, controller, basis, basisVersion, widthBits } = declared;
  const resolutionGrains = resolution.grains;
  const fault = frameBasisFault({ basis, meter: meter.name, resolutionGrains, widthBits, scope });
  if (fault !== null) throw new Problem('basis_invalid', `${declared.counter}: ${fault}.`);
  return {
    meter: meter.name,
    resolutionGrains,
    widthBits,
    minMsPerTick: minMsPerTick(meter, resolution.grains),
    scope,
    controller,
    basis,
    basisVersion,
  };
}

const sameLine = (a: LineRow, b: LineMeaning): boolean =>
  a.meter === b.meter &&
  a.resolutionGrains === b.resolutionGrains &&
  a.widthBits === b.widthBits &&
  a.scope === b.scope &&
  a.controller === b.controller &&
  a.basis === b.basis &&
  a.basisVersion === b.basisVersion;

/**
 * The line that a new counter belongs to: its controller's, when that counts the same already, else
 * its own. A controller whose basis or resolution changed begins a new line, never mixed with the
 * old.
 */
async function lineFor(work: Work, wanted: LineMeaning, gatewayId: string): Promise<LineRow> {
  const { tx, fleetId, nowMs } = work;
  const { controller } = wanted;
  const held = controller ? await lockControllerLine(tx, fleetId, controller, wanted) : null;
  if (held) return held;
  // What posts together is folded together: one wake-up call for all counters of a post.
  const shard = shardOf(fleetId, controller ?? gatewayId);
  return insertLine(tx, { fleetId, shard, ...wanted, createdAtMs: nowMs });
}

/**
 * Declares a gateway's counters, once each: declaring the same again changes nothing, declaring
 * otherwise is refused. Each counter gets its stream of epoch 0. `trusted`: somebody who keeps the
 * fleet says so, and may name any controller.
 *
 * @throws Problem not_found, meter_unknown, resolution_invalid, basis_invalid,
 * counter_declared_otherwise, controller_elsewhere
 */
export async function declareCounters(
  work: Work,
  gatewayId: string,
  declarations: readonly CounterDeclaration[],
  trusted: boolean,
): Promise<ShownCounter[]> {
  const { tx, fleetId, nowMs } = work;
  await mustFindGateway(tx, fleetId, gatewayId);
  // Before any line is held: whoever changes installs takes them in this order.
  await lockInstalls(tx, fleetId);
  const known = await countersOf(tx, fleetId, [gatewayId]);
  // What it counts for already it may count more for.
  const own = new Set(known.flatMap((counter) => counter.line.controller ?? []));
  const fresh: string[] = [];
  for (const declared of declarations) {
    const wanted = check(declared);
    const before = known.find((counter) => counter.name === declared.counter);
    if (before) {
      if (sameLine(before.line, wanted)) continue;
      throw new Problem('counter_declared_otherwise', `${declared.counter} is declared already.`);
    }
    if (known.length + fresh.length >= countersMax || fresh.includes(declared.counter)) {
      throw new Problem('counter_declared_otherwise', `${declared.counter}: twice, or too many.`);
    }
    fresh.push(declared.counter);
    if (wanted.controller !== null && !own.has(wanted.controller)) {
      if (!trusted) await checkJoin(work, gatewayId, wanted.controller);
      own.add(wanted.controller);
    }
    const { lineId } = await lineFor(work, wanted, gatewayId);
    const counterId = await insertCounter(tx, {
      fleetId,
      gatewayId,
      name: declared.counter,
      lineId,
      declaredAtMs: nowMs,
    });
    const opening = { fleetId, counterId, lineId, epoch: 0, openedAtMs: nowMs };
    await openStream(tx, { ...opening, cause: 'first' });
    work.record({
      type: 'counter.declared',
      subject: `gateway/${gatewayId}`,
      data: { counter: declared.counter, lineId, ...wanted },
      occurredAtMs: nowMs,
    });
  }
  if (fresh.length > 0) {
    const units = (await installsOf(tx, fleetId, { gatewayIds: [gatewayId] })).map((i) => i.unitId);
    await linkMeterSources(work, { unitIds: [...new Set(units)] });
  }
  return shownCounters(tx, fleetId, gatewayId);
}

const epochsMax = 1_000;

/**
 * Issues the next epoch of a counter: numbers start again at 0 there, and the cause says what the
 * fold may believe of its first value.
 *
 * @throws Problem not_found
 */
export async function issueEpoch(
  work: Work,
  gatewayId: string,
  input: { counter: string; cause: Exclude<StreamRow['cause'], 'first'> },
): Promise<{ counter: string; epoch: number; cause: string }> {
  const { tx, fleetId, nowMs } = work;
  const counters = await countersOf(tx, fleetId, [gatewayId]);
  const counter = counters.find((each) => each.name === input.counter);
  if (!counter) throw new Problem('not_found', 'That counter is not declared on this gateway.');
  const { counterId, line } = counter;
  await lockLine(tx, fleetId, line.lineId);
  const streams = await streamsOfCounters(tx, fleetId, [counterId]);
  const epoch = (streams.at(-1)?.epoch ?? -1) + 1;
  if (epoch >= epochsMax) throw new Problem('time_invalid', 'This counter has used up its epochs.');
  const { cause } = input;
  await openStream(tx, {
    fleetId,
    counterId,
    lineId: line.lineId,
    epoch,
    cause,
    openedAtMs: nowMs,
  });
  work.record({
    type: 'counter.epoch_issued',
    subject: `gateway/${gatewayId}`,
    data: { counter: input.counter, epoch, cause },
    occurredAtMs: nowMs,
  });
  return { counter: input.counter, epoch, cause };
}
