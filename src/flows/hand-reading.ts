import { v7 as uuid } from 'uuid';
import type { Cause } from '../domain/events/cause.ts';
import { instantText } from '../domain/instant.ts';
import { shardOf } from '../domain/shard.ts';
import { type DialFault, dialFault, parseDial, usualStep } from '../domain/usage/hand-reading.ts';
import { builtInMeter, formatGrains, type Meter, minMsPerTick } from '../domain/usage/meter.ts';
import { Problem } from '../errors.ts';
import { insertLine } from '../store/counter.ts';
import {
  dialAround,
  findHandLine,
  findHandReading,
  type HandLineRow,
  type HandReadingRow,
  handReadingAt,
  insertHandLine,
  insertHandReading,
  markHandLine,
  readLinesOfAssets,
  voidHandReading,
} from '../store/hand-reading.ts';
import { lockInstalls } from '../store/install.ts';
import { earliestMs } from './keep-fleet.ts';
import { linkMeterSources } from './link-meter-sources.ts';
import { mustFindAsset } from './must-find.ts';
import type { Recorder } from './record-upkeep.ts';
import type { Work } from './work.ts';

export interface NewHandReading {
  meter: string;
  value: number;
  resolution: number | undefined;
  atMs: number;
  readBy: string;
  note: string | null;
  meterReplaced: boolean;
}

/**
 * The meter of an asset.
 *
 * @throws Problem not_found, meter_unknown, meter_not_counted
 */
export async function meterOfAsset(work: Work, assetId: string, name: string): Promise<Meter> {
  const asset = await mustFindAsset(work.tx, work.fleetId, assetId, work.nowMs);
  const meter = builtInMeter(name);
  if (!meter) throw new Problem('meter_unknown', `There is no meter "${name.slice(0, 40)}".`);
  if (meter.assetKind !== asset.kind) {
    throw new Problem('meter_not_counted', `${meter.name} is a meter of a ${meter.assetKind}.`);
  }
  return meter;
}

/** The asset's line of readings by hand, made when there is none. */
async function lineFor(work: Work, assetId: string, meter: Meter): Promise<HandLineRow> {
  const { tx, fleetId, nowMs } = work;
  const known = await findHandLine(tx, fleetId, assetId, meter.name);
  if (known) return known;
  const { lineId } = await insertLine(tx, {
    fleetId,
    shard: shardOf(fleetId, assetId),
    meter: meter.name,
    resolutionGrains: 1,
    // No dial that a person reads wraps unseen.
    widthBits: 64,
    minMsPerTick: minMsPerTick(meter, 1),
    scope: 'gateway',
    controller: null,
    basis: 'hand',
    basisVersion: 1,
    createdAtMs: nowMs,
  });
  const row = { fleetId, assetId, meter: meter.name, lineId };
  await insertHandLine(tx, row);
  return row;
}

const faultCodes = { falls: 'dial_falls', too_fast: 'dial_too_fast' } as const;

function refuse(fault: DialFault, meter: Meter, against: { atMs: number; grains: number }): never {
  const value = `${formatGrains(against.grains, meter.dimension)} ${meter.dimension}`;
  const stands = `${value} stands for ${instantText(against.atMs)}`;
  const detail =
    fault === 'falls'
      ? `${stands}. If the meter was replaced say meterReplaced; if that reading is wrong void it.`
      : `${stands}, and ${meter.name} cannot rise so fast. If that reading is wrong void it.`;
  throw new Problem(faultCodes[fault], detail);
}

/** Since when it is known what the dial shows. */
async function knownFrom(work: Work, line: HandLineRow): Promise<number> {
  const lines = await readLinesOfAssets(work.tx, work.fleetId, [line.assetId]);
  return lines.find((each) => each.lineId === line.lineId)?.fromMs ?? Infinity;
}

/**
 * Has the line folded anew from a moment on; when it is known from another moment on than before,
 * what counts for its asset is worked out anew.
 */
async function readAnew(
  work: Work,
  line: HandLineRow,
  change: { atMs: number; before: number; causes: readonly Cause[] },
): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  const { atMs, before, causes } = change;
  const after = await knownFrom(work, line);
  if (before !== after) {
    await linkMeterSources(work, { unitIds: [], assetIds: [line.assetId], causes });
  }
  const edges = before === after ? [] : [before, after].filter(Number.isFinite);
  const fromMs = Math.min(atMs, ...edges);
  for (const shard of await markHandLine(tx, fleetId, line.lineId, fromMs, nowMs, causes)) {
    work.wake('fold', shard);
  }
}

/** A starting value was given or corrected: the line begins with it. */
export async function startChanged(
  work: Work,
  start: { assetId: string; meter: string; atMs: number; wasAtMs: number | null },
): Promise<void> {
  const line = await findHandLine(work.tx, work.fleetId, start.assetId, start.meter);
  if (!line) return;
  const atMs = Math.min(start.atMs, start.wasAtMs ?? Infinity);
  // Where it is known from may have changed either way: work it out in any case.
  await readAnew(work, line, { atMs, before: -Infinity, causes: [] });
}

export interface GivenReading {
  row: HandReadingRow;
  duplicate: boolean;
}

/**
 * Records what a person read off a dial. It takes its place by its time, also when it is told
 * late; the same reading again changes nothing.
 *
 * @throws Problem not_found, meter_unknown, meter_not_counted, time_invalid, dial_value_invalid,
 * dial_falls, dial_too_fast, dial_differs
 */
export async function giveHandReading(
  work: Work,
  by: Recorder,
  assetId: string,
  input: NewHandReading,
): Promise<GivenReading> {
  const { tx, fleetId, nowMs } = work;
  const meter = await meterOfAsset(work, assetId, input.meter);
  if (input.atMs > nowMs + 120_000 || input.atMs < earliestMs) {
    throw new Problem('time_invalid', '`at` must be a time that has been.');
  }
  const step = input.resolution ?? usualStep[meter.dimension];
  const { value, stepGrains } = parseDial(meter, input.value, step);
  if (!value.ok) throw new Problem('dial_value_invalid', `${value.reason}.`);
  const { grains } = value;
  const atMs = Math.min(input.atMs, nowMs);
  await lockInstalls(tx, fleetId);
  const around = await dialAround(tx, fleetId, { assetId, meter: meter.name }, atMs);
  const line = await lineFor(work, assetId, meter);
  const replaced = input.meterReplaced;
  if (around.at && (around.at.grains !== grains || around.at.replaced !== replaced)) {
    const is = formatGrains(around.at.grains, meter.dimension);
    throw new Problem('dial_differs', `${is} stands for just that moment. If wrong, void it.`);
  }
  const same = await handReadingAt(tx, fleetId, line.lineId, atMs);
  if (same) return { row: same, duplicate: true };
  const dial = { atMs, grains, stepGrains, replaced };
  const found = dialFault(meter, dial, around.before, around.after);
  if (found) refuse(found.fault, meter, found.against);
  const before = await knownFrom(work, line);
  const row: HandReadingRow = {
    fleetId,
    readingId: uuid(),
    assetId,
    meter: meter.name,
    lineId: line.lineId,
    atMs,
    grains,
    resolutionGrains: stepGrains,
    meterReplaced: replaced,
    readBy: input.readBy,
    note: input.note,
    recordedBy: `key/${by.keyId}`,
    recordedAtMs: nowMs,
    voidReason: null,
    voidedBy: null,
    voidedAtMs: null,
  };
  await insertHandReading(tx, row);
  work.record({
    type: 'meter.read_by_hand',
    subject: `asset/${assetId}`,
    data: {
      readingId: row.readingId,
      meter: row.meter,
      value: formatGrains(grains, meter.dimension),
      meterReplaced: replaced,
    },
    personal: { readBy: row.readBy, note: row.note, by: by.name },
    occurredAtMs: atMs,
  });
  await readAnew(work, line, { atMs, before, causes: [] });
  return { row, duplicate: false };
}

/**
 * Declares a reading wrong; it stays in the history and counts no more.
 *
 * @throws Problem not_found, already_voided
 */
export async function voidGivenReading(
  work: Work,
  by: Recorder,
  input: { assetId: string; readingId: string; name: string; reason: string },
): Promise<HandReadingRow> {
  const { tx, fleetId, nowMs } = work;
  await lockInstalls(tx, fleetId);
  const row = await findHandReading(tx, fleetId, input.readingId);
  if (row?.assetId !== input.assetId) {
    throw new Problem('not_found', 'There is no such reading of this asset.');
  }
  if (row.voidedAtMs !== null) throw new Problem('already_voided', 'It counts no more already.');
  const line = { fleetId, assetId: row.assetId, meter: row.meter, lineId: row.lineId };
  const before = await knownFrom(work, line);
  const voiding = { voidReason: input.reason, voidedBy: input.name, voidedAtMs: nowMs };
  await voidHandReading(tx, fleetId, row.readingId, voiding);
  work.record({
    type: 'meter.reading_voided',
    subject: `asset/${row.assetId}`,
    data: { readingId: row.readingId, meter: row.meter },
    personal: { name: input.name, reason: input.reason, by: by.name },
    occurredAtMs: nowMs,
  });
  const subject = `asset/${row.assetId}`;
  const cause: Cause = {
    what: 'hand_reading_voided',
    subject,
    id: row.readingId,
    sinceMs: row.atMs,
  };
  await readAnew(work, line, { atMs: row.atMs, before, causes: [cause] });
  return { ...row, ...voiding };
}
