import { createHash } from 'node:crypto';
import { v7 as uuid } from 'uuid';
import { parseLiftPattern } from '../domain/upkeep/lift-pattern.ts';
import { type AssetKind, builtInMeters } from '../domain/usage/meter.ts';
import { Problem } from '../errors.ts';
import { revokeOlderKeys } from '../store/api-key.ts';
import { type AssetOnUnit, findAsset, insertAsset } from '../store/asset.ts';
import { type GatewayRow, type GatewayWithContact, insertGateway } from '../store/gateway.ts';
import { findPattern, insertPattern, type LiftPatternRow } from '../store/lift-pattern.ts';
import { findUnit, insertUnit, insertUnitYard, type UnitWithYards } from '../store/unit.ts';
import { markUnits } from '../store/unit-mark.ts';
import { findYard, insertYard, type YardRow } from '../store/yard.ts';
import { createKey } from './keys.ts';
import { mustFindGateway } from './must-find.ts';
import type { Work } from './work.ts';

/** 2000-01-01: nothing of a fleet is dated before it. */
export const earliestMs = 946_684_800_000;

export async function addYard(
  work: Work,
  input: { name: string; timeZone: string },
): Promise<YardRow> {
  const { fleetId, nowMs } = work;
  const row: YardRow = {
    fleetId,
    yardId: uuid(),
    ...input,
    createdAtMs: nowMs,
  };
  await insertYard(work.tx, row);
  work.record({
    type: 'yard.added',
    subject: `yard/${row.yardId}`,
    data: input,
    occurredAtMs: nowMs,
  });
  return row;
}

/** A unit with its home yard, which is also its present yard until it is moved. */
export async function addUnit(
  work: Work,
  input: {
    number: string;
    homeYardId: string;
    sinceMs: number | null;
    note: string | null;
    furnishedBy?: string | null | undefined;
  },
): Promise<UnitWithYards> {
  const { tx, fleetId, nowMs } = work;
  if (!(await findYard(tx, fleetId, input.homeYardId))) {
    throw new Problem('reference_unknown', 'homeYardId names no yard of this fleet.');
  }
  const unitId = uuid();
  const { number, note, homeYardId, furnishedBy = null } = input;
  await insertUnit(tx, { fleetId, unitId, number, note, furnishedBy, createdAtMs: nowMs });
  const during = {
    fromMs: Math.max(input.sinceMs ?? earliestMs, earliestMs),
    toMs: null,
  };
  for (const role of ['home', 'present'] as const) {
    await insertUnitYard(tx, {
      fleetId,
      unitId,
      role,
      yardId: homeYardId,
      during,
    });
  }
  work.record({
    type: 'unit.added',
    subject: `unit/${unitId}`,
    data: { number, homeYardId },
    occurredAtMs: nowMs,
  });
  // A unit without anything on it is not sound but unknown: it stands on the list from the start.
  for (const shard of await markUnits(tx, fleetId, [unitId], nowMs)) work.wake('assess', shard);
  return (await findUnit(tx, fleetId, unitId, nowMs)) as UnitWithYards;
}

/** A new pattern, or the next version of one. A version never changes afterwards. */
export async function publishPattern(
  work: Work,
  input: { patternId: string | null; document: unknown },
): Promise<LiftPatternRow> {
  const { tx, fleetId, nowMs } = work;
  const parsed = parseLiftPattern(input.document, builtInMeters);
  if (!parsed.ok) {
    const more = parsed.omitted > 0 ? ` and ${parsed.omitted} more` : '';
    throw new Problem('pattern_invalid', `${parsed.problems.length}${more} fault(s), see errors.`, {
      errors: parsed.problems.map(({ path, reason }) => ({
        path: `/document${path}`,
        reason,
      })),
    });
  }
  let version = 1;
  const patternId = input.patternId ?? uuid();
  if (input.patternId !== null) {
    const newest = await findPattern(tx, fleetId, patternId, null);
    if (!newest)
      throw new Problem('reference_unknown', 'patternId names no pattern of this fleet.');
    if (newest.assetKind !== parsed.pattern.assetKind) {
      throw new Problem('pattern_invalid', 'A version keeps the kind of asset of its pattern.');
    }
    version = newest.version + 1;
  }
  const row: LiftPatternRow = {
    fleetId,
    patternId,
    version,
    name: parsed.pattern.name,
    assetKind: parsed.pattern.assetKind,
    document: input.document,
    sha256: createHash('sha256').update(JSON.stringify(input.document)).digest(),
    createdAtMs: nowMs,
  };
  await insertPattern(tx, row);
  work.record({
    type: 'pattern.published',
    subject: `pattern/${patternId}`,
    data: { version, name: row.name, assetKind: row.assetKind },
    occurredAtMs: nowMs,
  });
  return row;
}

export async function addAsset(
  work: Work,
  input: {
    kind: AssetKind;
    serial: string;
    patternId: string | null;
    patternVersion: number | null;
    note?: string | null;
    make?: string | null | undefined;
    modelYear?: number | null | undefined;
    tireSize?: string | null | undefined;
  },
): Promise<AssetOnUnit> {
  const { tx, fleetId, nowMs } = work;
  let patternVersion: number | null = null;
  if (input.patternId !== null) {
    const pattern = await findPattern(tx, fleetId, input.patternId, input.patternVersion);
    if (!pattern) throw new Problem('reference_unknown', 'There is no such pattern version.');
    if (pattern.assetKind !== input.kind) {
      throw new Problem('reference_unknown', `That pattern is for a ${pattern.assetKind}.`);
    }
    patternVersion = pattern.version;
  }
  const assetId = uuid();
  const { kind, serial, patternId } = input;
  const row = {
    fleetId,
    assetId,
    kind,
    serial,
    patternId,
    patternVersion,
    createdAtMs: nowMs,
    note: input.note ?? null,
    make: input.make ?? null,
    modelYear: input.modelYear ?? null,
    tireSize: input.tireSize ?? null,
  };
  await insertAsset(tx, row);
  work.record({
    type: 'asset.added',
    subject: `asset/${assetId}`,
    data: { kind, serial, patternId, patternVersion },
    occurredAtMs: nowMs,
  });
  return (await findAsset(tx, fleetId, assetId, nowMs)) as AssetOnUnit;
}

/** A gateway with its first key, whose secret is seen only in this answer. */
export async function addGateway(
  work: Work,
  input: { serial: string; note: string | null },
): Promise<{ row: GatewayRow; secret: string }> {
  const { tx, fleetId, nowMs } = work;
  const row: GatewayRow = {
    fleetId,
    gatewayId: uuid(),
    ...input,
    createdAtMs: nowMs,
  };
  await insertGateway(tx, row);
  const key = await createKey(work, {
    role: 'gateway',
    name: `gateway ${input.serial}`,
    gatewayId: row.gatewayId,
  });
  work.record({
    type: 'gateway.added',
    subject: `gateway/${row.gatewayId}`,
    data: { serial: input.serial },
    occurredAtMs: nowMs,
  });
  return { row, secret: key.secret };
}

/**
 * A new key for a gateway. Two live at once, so that a device can change over; older ones end.
 *
 * @throws Problem not_found
 */
export async function replaceGatewayKey(
  work: Work,
  gatewayId: string,
): Promise<{ row: GatewayWithContact; secret: string }> {
  const { tx, fleetId, nowMs } = work;
  const row = await mustFindGateway(tx, fleetId, gatewayId);
  await revokeOlderKeys(tx, fleetId, gatewayId, 1, nowMs);
  const name = `gateway ${row.serial}`;
  const key = await createKey(work, { role: 'gateway', name, gatewayId });
  return { row, secret: key.secret };
}
