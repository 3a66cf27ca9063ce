import { v7 as uuid } from 'uuid';
import { Problem } from '../errors.ts';
import { findAsset } from '../store/asset.ts';
import { findGateway } from '../store/gateway.ts';
import { type InstallRow, insertInstall, installAt, lockInstalls } from '../store/install.ts';
import { findUnit } from '../store/unit.ts';
import { linkMeterSources } from './link-meter-sources.ts';
import type { Recorder } from './record-upkeep.ts';
import { checkPeriod, rewriteInstall } from './rewrite-install.ts';
import type { Work } from './work.ts';

export interface NewInstall {
  unitId: string;
  what: { assetId: string } | { gatewayId: string };
  fromMs: number;
  toMs: number | null;
  /** End the install that holds at `fromMs`, and begin this one there. */
  move: boolean;
  note: string | null;
}

/**
 * Puts an asset or a gateway on a unit, from-to. Use counted there belongs to the asset from then
 * on, also use that was counted before this was known.
 *
 * @throws Problem reference_unknown, time_invalid, install_overlaps
 */
export async function install(work: Work, by: Recorder, input: NewInstall): Promise<InstallRow> {
  const { tx, fleetId, nowMs } = work;
  const { unitId, what, fromMs, toMs } = input;
  checkPeriod(fromMs, toMs, nowMs);
  if (!(await findUnit(tx, fleetId, unitId, nowMs))) {
    throw new Problem('reference_unknown', 'unitId names no unit of this fleet.');
  }
  const known =
    'assetId' in what
      ? await findAsset(tx, fleetId, what.assetId, nowMs)
      : await findGateway(tx, fleetId, what.gatewayId);
  if (!known) throw new Problem('reference_unknown', 'That asset or gateway is not in this fleet.');
  await lockInstalls(tx, fleetId);
  const held = input.move ? await installAt(tx, fleetId, what, fromMs) : null;
  if (held) {
    if (held.during.fromMs >= fromMs) {
      throw new Problem('time_invalid', 'It was put where it is at that very moment.');
    }
    const after = { ...held, during: { fromMs: held.during.fromMs, toMs: fromMs } };
    await rewriteInstall(work, by, { kind: 'moved', before: held, after, reason: 'It was moved.' });
  }
  const row: InstallRow = {
    fleetId,
    installId: uuid(),
    unitId,
    assetId: 'assetId' in what ? what.assetId : null,
    gatewayId: 'gatewayId' in what ? what.gatewayId : null,
    during: { fromMs, toMs },
    note: input.note,
    createdAtMs: nowMs,
  };
  await insertInstall(tx, row);
  work.record({
    type: held ? 'install.moved' : 'install.begun',
    subject: 'assetId' in what ? `asset/${what.assetId}` : `gateway/${what.gatewayId}`,
    data: {
      installId: row.installId,
      unitId,
      from: fromMs,
      to: toMs,
      ...(held ? { fromUnitId: held.unitId } : {}),
    },
    occurredAtMs: fromMs,
  });
  await linkMeterSources(work, {
    unitIds: held ? [unitId, held.unitId] : [unitId],
    assetIds: row.assetId === null ? [] : [row.assetId],
    movedFromMs: fromMs,
    causes: [
      {
        what: held ? 'install_moved' : 'install_begun',
        subject: `install/${row.installId}`,
        sinceMs: fromMs,
      },
    ],
  });
  return row;
}
