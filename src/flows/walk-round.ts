import { v7 as uuid } from 'uuid';
import { itemsFor, type WalkItem, walkItems, walkRoundWaits } from '../domain/shop/walk-item.ts';
import { Problem } from '../errors.ts';
import { assetsOnUnit, type InstalledAsset } from '../store/install.ts';
import { lockFaults } from '../store/stop.ts';
import type { Tx } from '../store/tx.ts';
import {
  certifyDefectRow,
  defectsOfRounds,
  findWalkRound,
  insertWalkDefects,
  insertWalkRound,
  reviewRoundRow,
  type WalkDefectRow,
  type WalkDefectShown,
  type WalkRoundRow,
} from '../store/walk-round.ts';
import { mustBeCardOf } from './close-trouble.ts';
import { earliestMs } from './keep-fleet.ts';
import { absent, mustFindUnit } from './must-find.ts';
import { closeFinding, recordFinding } from './record-finding.ts';
import type { Signer } from './sign.ts';
import type { Work } from './work.ts';

export interface NewDefect {
  item: WalkItem;
  words: string;
  /** It would affect safety, or lead to a breakdown: the unit is stopped until it is certified. */
  affectsSafety: boolean;
}

export interface NewWalkRound {
  unitId: string;
  shift: 'before' | 'after';
  defects: readonly NewDefect[];
  walkedAtMs: number;
}

/** A walk-round with its defects. */
export interface WholeWalkRound {
  row: WalkRoundRow;
  defects: WalkDefectShown[];
}

/** Who certified a defect as repaired, or as needing no repair; null: nobody yet. */
export function certificationOf(defect: WalkDefectShown) {
  if (defect.certified !== null) {
    return {
      how: defect.certified,
      words: defect.certifiedWords ?? '',
      by: { personId: defect.certifiedByPerson as string, name: defect.certifiedByName ?? '' },
      atMs: defect.certifiedAtMs as number,
      cardId: defect.certifiedCard,
    };
  }
  const ended = defect.findingEnded;
  if (!ended || ended.personId === null) return null;
  if (ended.how !== 'mended' && ended.how !== 'withdrawn') return null;
  return {
    how: ended.how === 'mended' ? ('repaired' as const) : ('unnecessary' as const),
    words: ended.words ?? '',
    by: { personId: ended.personId, name: ended.name ?? '' },
    atMs: ended.atMs,
    cardId: ended.cardId,
  };
}

/** What a walk-round waits for. */
export const waitsOf = ({ row, defects }: WholeWalkRound) =>
  walkRoundWaits({
    defects: defects.map((each) => ({ certified: certificationOf(each) !== null })),
    reviewed: row.reviewedAtMs !== null,
  });

/** @throws Problem not_found */
export async function readWalkRound(
  tx: Tx,
  fleetId: number,
  unitId: string,
  walkRoundId: string,
  lock = false,
): Promise<WholeWalkRound> {
  const row = await findWalkRound(tx, fleetId, walkRoundId, lock);
  if (row?.unitId !== unitId) throw absent('walk-round');
  return { row, defects: await defectsOfRounds(tx, fleetId, [walkRoundId]) };
}

/** Each defect becomes a finding of what it is on; the same one told again joins. */
async function findDefect(
  work: Work,
  by: Signer,
  round: WalkRoundRow,
  defect: NewDefect,
  assets: readonly InstalledAsset[],
): Promise<WalkDefectRow> {
  const { of, words } = walkItems[defect.item];
  const { finding } = await recordFinding(work, by, {
    unitId: round.unitId,
    assetId: assets.find(({ kind }) => kind === of)?.assetId ?? null,
    pointKey: null,
    part: defect.item,
    grade: defect.affectsSafety ? 'unfit' : 'keep_watch',
    words: defect.words === '' ? `Walk-round: ${words}.` : defect.words,
    mendByDay: null,
    mendByUse: null,
    source: { kind: 'walk_round', id: round.walkRoundId },
  });
  return {
    fleetId: round.fleetId,
    defectId: uuid(),
    walkRoundId: round.walkRoundId,
    unitId: round.unitId,
    item: defect.item,
    words: defect.words,
    affectsSafety: defect.affectsSafety,
    findingId: finding.findingId,
    certified: null,
    certifiedWords: null,
    certifiedCard: null,
    certifiedAtMs: null,
    certifiedByPerson: null,
    certifiedByKey: null,
    certifiedByName: null,
  };
}

function mustBeSound(input: NewWalkRound, assets: readonly InstalledAsset[], nowMs: number) {
  if (input.walkedAtMs < earliestMs || input.walkedAtMs > nowMs + 120_000) {
    throw new Problem('time_invalid', '`walkedAt` must be a time that has been.');
  }
  const items = itemsFor(assets.map(({ kind }) => kind));
  const other = input.defects.find(({ item }) => !items.includes(item));
  if (other) {
    throw new Problem('reference_unknown', `Nothing on this unit has the item "${other.item}".`);
  }
}

/**
 * A driver walked round a unit and signs it. Without defects that is all. Each defect becomes a
 * finding; one that affects safety stops what it serves until it is certified.
 *
 * @throws Problem not_found, time_invalid, reference_unknown
 */
export async function recordWalkRound(
  work: Work,
  by: Signer,
  input: NewWalkRound,
): Promise<WholeWalkRound> {
  const { tx, fleetId, nowMs } = work;
  const { unitId, shift } = input;
  await mustFindUnit(tx, fleetId, unitId, nowMs);
  const assets = await assetsOnUnit(tx, fleetId, unitId, nowMs);
  mustBeSound(input, assets, nowMs);
  await lockFaults(tx, fleetId, unitId);
  const row: WalkRoundRow = {
    fleetId,
    walkRoundId: uuid(),
    unitId,
    shift,
    defects: input.defects.length,
    walkedAtMs: Math.min(input.walkedAtMs, nowMs),
    byPerson: by.personId,
    byKey: by.keyId,
    byName: by.name,
    via: by.via,
    recordedAtMs: nowMs,
    reviewedAtMs: null,
    reviewedByPerson: null,
    reviewedByKey: null,
    reviewedByName: null,
  };
  await insertWalkRound(tx, row);
  const defects: WalkDefectRow[] = [];
  for (const defect of input.defects) {
    defects.push(await findDefect(work, by, row, defect, assets));
  }
  await insertWalkDefects(tx, defects);
  work.record({
    type: defects.length > 0 ? 'walk_round.defects_told' : 'walk_round.walked',
    subject: `unit/${unitId}`,
    data: {
      walkRoundId: row.walkRoundId,
      shift,
      personId: by.personId,
      defects: defects.map(({ defectId, item, affectsSafety, findingId }) => ({
        defectId,
        item,
        affectsSafety,
        findingId,
      })),
    },
    personal: { by: by.name, words: defects.map(({ item, words }) => ({ item, words })) },
    occurredAtMs: row.walkedAtMs,
  });
  return { row, defects: await defectsOfRounds(tx, fleetId, [row.walkRoundId]) };
}

export interface Certification {
  unitId: string;
  walkRoundId: string;
  /** Null: all that nobody has certified. */
  defectIds: readonly string[] | null;
  how: 'repaired' | 'unnecessary';
  words: string;
  /** The job card of the unit on which it was repaired. */
  cardId: string | null;
}

/** @throws Problem reference_unknown, walk_round_waits */
function toCertify(round: WholeWalkRound, defectIds: readonly string[] | null) {
  const open = round.defects.filter((each) => certificationOf(each) === null);
  const unknown = defectIds?.some((id) => !round.defects.some((each) => each.defectId === id));
  if (unknown) throw new Problem('reference_unknown', 'The walk-round has no such defect.');
  const chosen = defectIds === null ? open : open.filter((d) => defectIds.includes(d.defectId));
  if (chosen.length === 0 || (defectIds !== null && chosen.length < defectIds.length)) {
    throw new Problem('walk_round_waits', 'That was certified before, or there is no defect.');
  }
  return chosen;
}

/**
 * A person certifies for the company that defects were repaired, or that a repair is unnecessary.
 * The findings are closed with it, and what they stopped is cleared.
 *
 * @throws Problem not_found, reference_unknown, walk_round_waits
 */
export async function certifyDefects(
  work: Work,
  by: Signer,
  input: Certification,
): Promise<WholeWalkRound> {
  const { tx, fleetId, nowMs } = work;
  const { unitId, walkRoundId, how, words, cardId } = input;
  if (cardId !== null) await mustBeCardOf(work, unitId, cardId);
  await lockFaults(tx, fleetId, unitId);
  const round = await readWalkRound(tx, fleetId, unitId, walkRoundId, true);
  const chosen = toCertify(round, input.defectIds);
  for (const { defectId, findingId, findingEnded } of chosen) {
    await certifyDefectRow(tx, fleetId, defectId, {
      certified: how,
      certifiedWords: words,
      certifiedCard: cardId,
      certifiedAtMs: nowMs,
      certifiedByPerson: by.personId,
      certifiedByKey: by.keyId,
      certifiedByName: by.name,
    });
    if (findingEnded !== null) continue;
    const ending = how === 'repaired' ? 'mended' : 'withdrawn';
    await closeFinding(work, by, { findingId, how: ending, cardId, words });
  }
  work.record({
    type: 'walk_round.certified',
    subject: `unit/${unitId}`,
    data: {
      walkRoundId,
      how,
      defects: chosen.map(({ defectId }) => defectId),
      personId: by.personId,
    },
    personal: { by: by.name, words },
    occurredAtMs: nowMs,
  });
  return readWalkRound(tx, fleetId, unitId, walkRoundId);
}

/**
 * The next driver has read what was told and that it was certified, and signs before use.
 *
 * @throws Problem not_found, walk_round_waits
 */
export async function reviewWalkRound(
  work: Work,
  by: Signer,
  { unitId, walkRoundId }: { unitId: string; walkRoundId: string },
): Promise<WholeWalkRound> {
  const { tx, fleetId, nowMs } = work;
  const round = await readWalkRound(tx, fleetId, unitId, walkRoundId, true);
  const waits = waitsOf(round);
  if (waits === 'certification') {
    throw new Problem('walk_round_waits', 'Its defects are not all certified yet.');
  }
  if (waits === null) throw new Problem('walk_round_waits', 'There is nothing to review.');
  await reviewRoundRow(tx, fleetId, walkRoundId, {
    reviewedAtMs: nowMs,
    reviewedByPerson: by.personId,
    reviewedByKey: by.keyId,
    reviewedByName: by.name,
  });
  work.record({
    type: 'walk_round.reviewed',
    subject: `unit/${unitId}`,
    data: { walkRoundId, personId: by.personId },
    personal: { by: by.name },
    occurredAtMs: nowMs,
  });
  work.changed('readiness');
  return readWalkRound(tx, fleetId, unitId, walkRoundId);
}
