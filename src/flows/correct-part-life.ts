import type { PriorLife, RemovalReason, Use } from '../domain/wear/part-life.ts';
import { Problem } from '../errors.ts';
import { lockThing } from '../store/edit.ts';
import { findPartLife, insertPartLifeEntry, type PartLife } from '../store/part-life.ts';
import type { Actor } from './actor.ts';
import { entryOf, mustBeFree, mustFindLife, mustFitPrior, tellPart } from './part-life.ts';
import { pastInstant } from './wear-place.ts';
import type { Work } from './work.ts';

/** What was otherwise; what is left out stays. */
export interface PartCorrection {
  fittedAtMs?: number | undefined;
  priorLife?: PriorLife | undefined;
  priorUse?: Use | undefined;
  makerNumber?: string | null | undefined;
  supplier?: string | null | undefined;
  lot?: string | null | undefined;
  warrantyUntilDay?: string | null | undefined;
  warrantyUntilUse?: Use | undefined;
  /** Null: it was not removed. */
  removed?: { atMs: number; why: RemovalReason } | null | undefined;
}

const said = (change: object) =>
  Object.fromEntries(Object.entries(change).filter(([, value]) => value !== undefined));

/**
 * Says of a part what was wrong, as a further entry: what was said before stays in its history.
 *
 * @throws Problem not_found, already_voided, time_invalid, part_overlaps, part_life_impossible
 */
export async function correctPartLife(
  work: Work,
  by: Actor,
  input: {
    assetId: string;
    lifeId: string;
    change: PartCorrection;
    reason: string;
    correctedBy: { personId: string | null; name: string };
  },
): Promise<PartLife> {
  const { tx, fleetId } = work;
  await lockThing(tx, fleetId, 'asset', input.assetId);
  const { life, entry: before } = await mustFindLife(work, input.assetId, input.lifeId);
  const { removed, ...plain } = input.change;
  if (removed === null && before.movedTo !== null) {
    throw new Problem('part_life_impossible', 'It went on elsewhere: void that life first.');
  }
  const entry = {
    ...entryOf(
      work,
      by,
      {
        lifeId: life.lifeId,
        entryNo: before.entryNo + 1,
        kind: 'corrected',
        words: input.reason,
      },
      { ...before, personId: input.correctedBy.personId, name: input.correctedBy.name },
    ),
    ...said(plain),
    ...(removed === undefined
      ? {}
      : { removedAtMs: removed?.atMs ?? null, removalReason: removed?.why ?? null }),
  };
  mustFitPrior(entry.priorLife, entry.priorUse as Use);
  pastInstant(work, entry.fittedAtMs, 'fittedAt');
  if (entry.removedAtMs !== null) {
    pastInstant(work, entry.removedAtMs, 'removed.at');
    if (entry.removedAtMs <= entry.fittedAtMs) {
      throw new Problem('time_invalid', 'It was removed after it was fitted.');
    }
  }
  const period = { fromMs: entry.fittedAtMs, toMs: entry.removedAtMs };
  await mustBeFree(work, life, period, life.lifeId);
  await insertPartLifeEntry(tx, entry);
  await tellPart(work, by, { life, entry });
  return { life, entry };
}

/**
 * Says that a part never sat there.
 *
 * @throws Problem not_found, already_voided, part_life_impossible
 */
export async function voidPartLife(
  work: Work,
  by: Actor,
  input: {
    assetId: string;
    lifeId: string;
    reason: string;
    voidedBy: { personId: string | null; name: string };
  },
): Promise<PartLife> {
  const { tx, fleetId } = work;
  await lockThing(tx, fleetId, 'asset', input.assetId);
  const { life, entry: before } = await mustFindLife(work, input.assetId, input.lifeId);
  const on = before.movedTo === null ? null : await findPartLife(tx, fleetId, before.movedTo);
  if (on && on.entry.kind !== 'voided') {
    throw new Problem('part_life_impossible', 'It went on elsewhere: void that life first.');
  }
  const of = {
    lifeId: life.lifeId,
    entryNo: before.entryNo + 1,
    kind: 'voided' as const,
    words: input.reason,
  };
  const { personId, name } = input.voidedBy;
  const entry = entryOf(work, by, of, { ...before, personId, name });
  await insertPartLifeEntry(tx, entry);
  await tellPart(work, by, { life, entry });
  return { life, entry };
}
