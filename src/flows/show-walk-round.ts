import { instantText, instantTextOrNull } from '../domain/instant.ts';
import { type WalkItem, walkItems } from '../domain/shop/walk-item.ts';
import type { Tx } from '../store/tx.ts';
import { defectsOfRounds, type WalkDefectShown, type WalkRoundRow } from '../store/walk-round.ts';
import { certificationOf, type WholeWalkRound, waitsOf } from './walk-round.ts';

function showCertification(defect: WalkDefectShown) {
  const certification = certificationOf(defect);
  if (certification === null) return null;
  const { atMs, ...rest } = certification;
  return { ...rest, at: instantText(atMs) };
}

const showDefect = (defect: WalkDefectShown) => ({
  defectId: defect.defectId,
  item: defect.item as WalkItem,
  means: walkItems[defect.item as WalkItem].words,
  words: defect.words,
  affectsSafety: defect.affectsSafety,
  findingId: defect.findingId,
  reports: defect.reports,
  certified: showCertification(defect),
});

/** A walk-round with its defects, what it waits for, and who signed what. */
export const showWalkRound = (whole: WholeWalkRound) => {
  const { row, defects } = whole;
  return {
    walkRoundId: row.walkRoundId,
    unitId: row.unitId,
    shift: row.shift,
    walkedAt: instantText(row.walkedAtMs),
    by: { personId: row.byPerson, name: row.byName },
    via: row.via,
    recordedAt: instantText(row.recordedAtMs),
    defects: defects.map(showDefect),
    waitsFor: waitsOf(whole),
    reviewed:
      row.reviewedAtMs === null
        ? null
        : {
            by: { personId: row.reviewedByPerson as string, name: row.reviewedByName ?? '' },
            at: instantTextOrNull(row.reviewedAtMs) as string,
          },
  };
};

/** Rows of a list with their defects, in two statements however many there are. */
export async function withDefects(
  tx: Tx,
  fleetId: number,
  rows: readonly WalkRoundRow[],
): Promise<WholeWalkRound[]> {
  const ids = rows.filter((row) => row.defects > 0).map((row) => row.walkRoundId);
  const defects = await defectsOfRounds(tx, fleetId, ids);
  return rows.map((row) => ({
    row,
    defects: defects.filter((each) => each.walkRoundId === row.walkRoundId),
  }));
}
