import { v7 as uuid } from 'uuid';
import {
  carriedAlong,
  type LifeUse,
  lifeUse,
  overlaps,
  type PriorLife,
  type RemovalReason,
  type Use,
} from '../domain/wear/part-life.ts';
import { Problem } from '../errors.ts';
import { lockThing } from '../store/edit.ts';
import {
  findPartLife,
  insertPartLife,
  insertPartLifeEntry,
  livesAtPlace,
  type PartLife,
  type PartLifeEntryRow,
} from '../store/part-life.ts';
import type { Actor } from './actor.ts';
import { mustFindAsset } from './must-find.ts';
import { MetersAt } from './use-at.ts';
import { metersOfPart, mustFindPlace, pastInstant } from './wear-place.ts';
import type { Work } from './work.ts';

/** What is known of a part besides its use here. */
export interface PartOrigin {
  makerNumber: string | null;
  supplier: string | null;
  lot: string | null;
  warrantyUntilDay: string | null;
  /** Grains by meter. */
  warrantyUntilUse: Use;
}

export interface NewPart extends PartOrigin {
  assetId: string;
  part: string;
  /** Where it sits; more than one: a set, fitted together. */
  pointKeys: readonly string[];
  fittedAtMs: number;
  priorLife: PriorLife;
  priorUse: Use;
  words: string | null;
  /** Who fitted it. */
  fittedBy: { personId: string | null; name: string };
}

type Standing = Omit<
  PartLifeEntryRow,
  'fleetId' | 'lifeId' | 'entryNo' | 'kind' | 'words' | 'recordedBy' | 'recordedAtMs'
>;

export function entryOf(
  work: Work,
  by: Actor,
  of: { lifeId: string; entryNo: number; kind: PartLifeEntryRow['kind']; words: string | null },
  standing: Standing,
): PartLifeEntryRow {
  return {
    ...standing,
    fleetId: work.fleetId,
    ...of,
    recordedBy: `key/${by.keyId}`,
    recordedAtMs: work.nowMs,
  };
}

const absent = () => new Problem('not_found', 'There is no such part life of this asset.');

/** A part of an asset that nobody declared wrong. @throws Problem not_found, already_voided */
export async function mustFindLife(work: Work, assetId: string, lifeId: string): Promise<PartLife> {
  const found = await findPartLife(work.tx, work.fleetId, lifeId);
  if (found?.life.assetId !== assetId) throw absent();
  if (found.entry.kind === 'voided') {
    throw new Problem('already_voided', 'It was declared wrong: it never was.');
  }
  return found;
}

/** @throws Problem part_overlaps */
export async function mustBeFree(
  work: Work,
  place: { assetId: string; part: string; pointKey: string },
  period: { fromMs: number; toMs: number | null },
  butLifeId: string | null,
): Promise<void> {
  for (const { life, entry } of await livesAtPlace(work.tx, work.fleetId, place)) {
    if (life.lifeId === butLifeId) continue;
    const other = { fromMs: entry.fittedAtMs, toMs: entry.removedAtMs };
    if (overlaps(period, other)) {
      throw new Problem('part_overlaps', 'Another such part sits there at that time.');
    }
  }
}

export function mustFitPrior(priorLife: PriorLife, priorUse: Use): void {
  const said = Object.keys(priorUse).length > 0;
  if (said && priorLife === 'new') {
    throw new Problem('part_life_impossible', 'A new part was not used before.');
  }
  if (!said && priorLife === 'known') {
    throw new Problem('part_life_impossible', 'Say what it was used before, by meter.');
  }
}

/** Tells what was said of a part. */
export async function tellPart(work: Work, by: Actor, told: PartLife): Promise<void> {
  const { entry, life } = told;
  const { unitId } = await mustFindAsset(work.tx, work.fleetId, life.assetId, work.nowMs);
  work.record({
    type: `part.${entry.kind}`,
    subject: `asset/${life.assetId}`,
    data: {
      lifeId: life.lifeId,
      entryNo: entry.entryNo,
      unitId,
      part: life.part,
      point: life.pointKey,
      setId: life.setId,
      fittedAt: entry.fittedAtMs,
      removedAt: entry.removedAtMs,
      why: entry.removalReason,
      continues: entry.continues,
      movedTo: entry.movedTo,
      personId: entry.personId,
    },
    personal: { doneBy: entry.name, words: entry.words, by: by.name },
    occurredAtMs: entry.kind === 'removed' ? (entry.removedAtMs as number) : entry.fittedAtMs,
  });
}

async function begin(
  work: Work,
  by: Actor,
  input: NewPart & { continues: string | null },
): Promise<PartLife[]> {
  const { tx, fleetId, nowMs } = work;
  const fittedAtMs = pastInstant(work, input.fittedAtMs, 'fittedAt');
  mustFitPrior(input.priorLife, input.priorUse);
  await lockThing(tx, fleetId, 'asset', input.assetId);
  const setId = input.pointKeys.length > 1 ? uuid() : null;
  const begun: PartLife[] = [];
  for (const pointKey of input.pointKeys) {
    const { assetId, part } = input;
    await mustFindPlace(work, { assetId, pointKey, part });
    await mustBeFree(work, { assetId, part, pointKey }, { fromMs: fittedAtMs, toMs: null }, null);
    const life = { fleetId, lifeId: uuid(), assetId, part, pointKey, setId, recordedAtMs: nowMs };
    await insertPartLife(tx, life);
    const of = { lifeId: life.lifeId, entryNo: 1, kind: 'fitted' as const, words: input.words };
    const entry = entryOf(work, by, of, {
      fittedAtMs,
      priorLife: input.priorLife,
      priorUse: input.priorUse,
      continues: input.continues,
      makerNumber: input.makerNumber,
      supplier: input.supplier,
      lot: input.lot,
      warrantyUntilDay: input.warrantyUntilDay,
      warrantyUntilUse: input.warrantyUntilUse,
      removedAtMs: null,
      removalReason: null,
      movedTo: null,
      personId: input.fittedBy.personId,
      name: input.fittedBy.name,
    });
    await insertPartLifeEntry(tx, entry);
    begun.push({ life, entry });
    await tellPart(work, by, { life, entry });
  }
  return begun;
}

/**
 * A part was fitted, or a set of them. What sat there before must have been removed by then.
 *
 * @throws Problem not_found, reference_unknown, time_invalid, part_overlaps, part_life_impossible
 */
export const fitPart = (work: Work, by: Actor, input: NewPart): Promise<PartLife[]> =>
  begin(work, by, { ...input, continues: null });

export interface PartRemoval {
  assetId: string;
  lifeId: string;
  removedAtMs: number;
  why: RemovalReason;
  words: string | null;
  removedBy: { personId: string | null; name: string };
}

async function end(
  work: Work,
  by: Actor,
  found: PartLife,
  input: PartRemoval & { movedTo: string | null },
): Promise<PartLife> {
  const { tx } = work;
  const { life, entry: before } = found;
  const removedAtMs = pastInstant(work, input.removedAtMs, 'removedAt');
  if (before.removedAtMs !== null) {
    throw new Problem('part_removed', 'It was removed before; correct that entry if it is wrong.');
  }
  if (removedAtMs <= before.fittedAtMs) {
    throw new Problem('time_invalid', 'It was removed after it was fitted.');
  }
  const { lifeId } = life;
  const of = { lifeId, entryNo: before.entryNo + 1, kind: 'removed' as const, words: input.words };
  const entry = entryOf(work, by, of, {
    ...before,
    removedAtMs,
    removalReason: input.why,
    movedTo: input.movedTo,
    personId: input.removedBy.personId,
    name: input.removedBy.name,
  });
  await insertPartLifeEntry(tx, entry);
  await tellPart(work, by, { life, entry });
  return { life, entry };
}

/**
 * A part was removed, with why.
 *
 * @throws Problem not_found, already_voided, time_invalid, part_removed
 */
export async function removePart(work: Work, by: Actor, input: PartRemoval): Promise<PartLife> {
  await lockThing(work.tx, work.fleetId, 'asset', input.assetId);
  const found = await mustFindLife(work, input.assetId, input.lifeId);
  return end(work, by, found, { ...input, movedTo: null });
}

export interface PartMove {
  assetId: string;
  lifeId: string;
  to: { assetId: string; pointKey: string };
  atMs: number;
  words: string | null;
  movedBy: { personId: string | null; name: string };
}

/**
 * A part goes to another place, also of another asset, and takes its use, its origin and its
 * warranty along.
 *
 * @throws Problem not_found, already_voided, reference_unknown, time_invalid, part_removed,
 * part_overlaps
 */
export async function movePart(
  work: Work,
  by: Actor,
  input: PartMove,
): Promise<{ from: PartLife; to: PartLife }> {
  const { tx, fleetId } = work;
  // In one order, so that two moves that cross do not wait for each other for ever.
  for (const assetId of [...new Set([input.assetId, input.to.assetId])].sort()) {
    await lockThing(tx, fleetId, 'asset', assetId);
  }
  const found = await mustFindLife(work, input.assetId, input.lifeId);
  const { life, entry } = found;
  const atMs = pastInstant(work, input.atMs);
  const prior = await useOfLife(work, found, atMs);
  const carried = carriedAlong(prior);
  const removal = { ...input, removedAtMs: atMs, why: 'moved' as const };
  const gone = { ...removal, removedBy: input.movedBy };
  const [to] = await begin(work, by, {
    ...entry,
    assetId: input.to.assetId,
    part: life.part,
    pointKeys: [input.to.pointKey],
    fittedAtMs: atMs,
    priorLife: carried.life,
    priorUse: carried.use,
    warrantyUntilUse: entry.warrantyUntilUse as Use,
    words: input.words,
    fittedBy: input.movedBy,
    continues: life.lifeId,
  });
  const from = await end(work, by, found, { ...gone, movedTo: (to as PartLife).life.lifeId });
  return { from, to: to as PartLife };
}

/** The use of a part up to an instant, by the meters that its asset counted. */
export async function useOfLife(
  work: Pick<Work, 'tx' | 'fleetId'>,
  { life, entry }: PartLife,
  atMs: number,
  meters?: MetersAt,
): Promise<LifeUse[]> {
  const { tx, fleetId } = work;
  const asset = await mustFindAsset(tx, fleetId, life.assetId, atMs);
  const own = await metersOfPart(tx, fleetId, asset, life.part);
  const at = meters ?? new MetersAt(tx, fleetId, life.assetId);
  const fitted = await at.at(own, entry.fittedAtMs);
  const then = await at.at(own, Math.min(atMs, entry.removedAtMs ?? atMs));
  const prior = { life: entry.priorLife, use: entry.priorUse as Use };
  const unseen = own.filter((meter) => {
    const since = fitted.knownSinceMs[meter];
    return since === null || since === undefined || since > entry.fittedAtMs;
  });
  return lifeUse(prior, fitted.grains, then.grains).map((each) =>
    unseen.includes(each.meter) ? { ...each, known: 'at_least' } : each,
  );
}
