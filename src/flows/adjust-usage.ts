import type { Cause } from '../domain/events/cause.ts';
import { localDay } from '../domain/usage/local-day.ts';
import { formatGrains, type Meter, parseGrains } from '../domain/usage/meter.ts';
import { Problem } from '../errors.ts';
import { findHandReading } from '../store/hand-reading.ts';
import { lockInstalls, unitsOfAssets } from '../store/install.ts';
import type { Tx } from '../store/tx.ts';
import { markUnits } from '../store/unit-mark.ts';
import {
  findUsageEntry,
  insertAdjustment,
  type ListedEntry,
  listUsageEntries,
  lockUseOfAsset,
  type UsageEntryRow,
  useToDay,
  withdrawalOf,
} from '../store/usage-entry.ts';
import { dropUseUntil } from '../store/use-until.ts';
import { zoneOfAsset } from './asset-zone.ts';
import { meterOfAsset } from './hand-reading.ts';
import { earliestMs } from './keep-fleet.ts';
import { mustFindAsset } from './must-find.ts';
import type { Recorder } from './record-upkeep.ts';
import type { Work } from './work.ts';

export interface NewAdjustment {
  meter: string;
  /** In the meter's unit; below zero takes use away. */
  amount: number;
  atMs: number;
  name: string;
  reason: string;
  handReadingId: string | null;
}

/** The largest adjustment of a lifetime: a million hours, cycles or kilometres. */
const largestAmount = 1_000_000;

function grainsOf(meter: Meter, amount: number): number {
  const grains = parseGrains(amount, meter.dimension);
  const exact = formatGrains(grains, meter.dimension) === amount;
  if (
    grains === 0 ||
    Math.abs(amount) > largestAmount ||
    (meter.dimension === 'cycles' && !exact)
  ) {
    const range = `not zero and at most ${largestAmount}; cycles are whole numbers`;
    throw new Problem('adjustment_impossible', `The amount must be ${range}.`);
  }
  return grains;
}

/** Has the tasks of the asset assessed anew, and tells what was announced wrongly. */
async function recompute(work: Work, row: UsageEntryRow, cause: Cause): Promise<void> {
  const { tx, fleetId, nowMs } = work;
  await lockUseOfAsset(tx, fleetId, row.assetId);
  await dropUseUntil(tx, fleetId, row);
  const units = await unitsOfAssets(tx, fleetId, [row.assetId], nowMs);
  for (const shard of await markUnits(tx, fleetId, units, nowMs, [cause])) {
    work.wake('assess', shard);
  }
}

/** Use never comes to less than nothing. */
async function checkSum(
  work: Work,
  entry: { assetId: string; meter: string; day: string; grains: number },
): Promise<void> {
  const { tx, fleetId } = work;
  const then = await useToDay(tx, fleetId, entry);
  const inAll = await useToDay(tx, fleetId, { ...entry, day: '9999-12-31' });
  if (Math.min(then, inAll) + entry.grains >= 0) return;
  throw new Problem('adjustment_impossible', 'Less than nothing would have been used by then.');
}

async function checkReading(work: Work, assetId: string, input: NewAdjustment): Promise<void> {
  if (input.handReadingId === null) return;
  const reading = await findHandReading(work.tx, work.fleetId, input.handReadingId);
  const fits = reading?.assetId === assetId && reading.meter === input.meter;
  if (!fits || reading.voidedAtMs !== null) {
    const detail = 'handReadingId names no reading of this meter that stands.';
    throw new Problem('reference_unknown', detail);
  }
}

/**
 * Moves the use of an asset's meter by a person's word, at a time that may lie in the past. It is
 * an entry of its own, which only an opposite one takes back.
 *
 * @throws Problem not_found, meter_unknown, meter_not_counted, time_invalid, reference_unknown,
 * adjustment_impossible
 */
export async function adjustUsage(
  work: Work,
  by: Recorder,
  assetId: string,
  input: NewAdjustment,
): Promise<ListedEntry> {
  const { tx, fleetId, nowMs } = work;
  const meter = await meterOfAsset(work, assetId, input.meter);
  if (input.atMs > nowMs + 120_000 || input.atMs < earliestMs) {
    throw new Problem('time_invalid', '`at` must be a time that has been.');
  }
  const atMs = Math.min(input.atMs, nowMs);
  const grains = grainsOf(meter, input.amount);
  // One at a time in a fleet, so that two together never come to less than nothing.
  await lockInstalls(tx, fleetId);
  await checkReading(work, assetId, input);
  const { zone } = await zoneOfAsset(tx, fleetId, assetId, nowMs);
  const day = localDay(atMs, zone);
  await checkSum(work, { assetId, meter: meter.name, day, grains });
  const row = await insertAdjustment(tx, {
    fleetId,
    assetId,
    meter: meter.name,
    day,
    kind: 'adjustment',
    grains,
    reason: input.reason,
    recordedBy: `key/${by.keyId}`,
    recordedAtMs: nowMs,
    atMs,
    name: input.name,
    handReadingId: input.handReadingId,
    withdraws: null,
  });
  const { entryId, handReadingId } = row;
  work.record({
    type: 'usage.adjusted',
    subject: `asset/${assetId}`,
    data: { entryId, meter: meter.name, day, amount: input.amount, grains, handReadingId },
    personal: { name: input.name, reason: input.reason, by: by.name },
    occurredAtMs: atMs,
  });
  const subject = `asset/${assetId}`;
  await recompute(work, row, {
    what: 'usage_adjusted',
    subject,
    id: String(entryId),
    sinceMs: atMs,
  });
  return { ...row, withdrawnBy: null };
}

/**
 * Takes an adjustment back by an opposite entry at the same time.
 *
 * @throws Problem not_found, already_voided, adjustment_impossible
 */
export async function withdrawAdjustment(
  work: Work,
  by: Recorder,
  input: { assetId: string; entryId: number; name: string; reason: string },
): Promise<ListedEntry> {
  const { tx, fleetId, nowMs } = work;
  await lockInstalls(tx, fleetId);
  const entry = await findUsageEntry(tx, fleetId, input.entryId);
  const isOne = entry?.assetId === input.assetId && entry.kind === 'adjustment';
  if (!isOne || entry.withdraws !== null) {
    throw new Problem('not_found', 'There is no such adjustment of this asset.');
  }
  if (await withdrawalOf(tx, fleetId, entry.entryId)) {
    throw new Problem('already_voided', 'It was taken back already.');
  }
  const { entryId: _, ...rest } = entry;
  const opposite = {
    ...rest,
    grains: -entry.grains,
    reason: input.reason,
    name: input.name,
    recordedBy: `key/${by.keyId}`,
    recordedAtMs: nowMs,
    withdraws: entry.entryId,
  };
  await checkSum(work, opposite);
  const row = await insertAdjustment(tx, opposite);
  const subject = `asset/${entry.assetId}`;
  const { meter, day, grains } = row;
  work.record({
    type: 'usage.adjustment_withdrawn',
    subject,
    data: { entryId: row.entryId, withdraws: entry.entryId, meter, day, grains },
    personal: { name: input.name, reason: input.reason, by: by.name },
    occurredAtMs: nowMs,
  });
  await recompute(work, row, {
    what: 'usage_adjustment_withdrawn',
    subject,
    id: String(entry.entryId),
    sinceMs: entry.atMs ?? nowMs,
  });
  return { ...row, withdrawnBy: null };
}

/** Entries about the use of an asset. @throws Problem not_found */
export async function readUsageEntries(
  tx: Tx,
  fleetId: number,
  filter: Parameters<typeof listUsageEntries>[2] & { nowMs: number },
  after: [entryId: number] | null,
  limit: number,
): Promise<ListedEntry[]> {
  await mustFindAsset(tx, fleetId, filter.assetId, filter.nowMs);
  return listUsageEntries(tx, fleetId, filter, after, limit);
}
