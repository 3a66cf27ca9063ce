import { v7 as uuid } from 'uuid';
import { instantText } from '../../domain/instant.ts';
import { type InstallRow, insertInstall } from '../../store/install.ts';
import type { ImportDirectory, KnownUnit } from './import-directory.ts';
import { isPossible } from './import-places.ts';
import type { ImportRow } from './import-row.ts';
import { type Became, type Importing, Twice } from './importing.ts';

type What = { assetId: string } | { gatewayId: string };

/** The asset or the gateway that a row is about. */
function whatOf(directory: ImportDirectory, row: ImportRow): What | undefined {
  const serial = row.text('gateway serial');
  const [kind, assetSerial] = [row.choice('asset kind'), row.text('asset serial')];
  if (serial !== null && kind === null && assetSerial === null) {
    return directory.refer(
      directory.gateways,
      'gateways',
      row,
      'gateway serial',
      serial,
      'gateway',
    );
  }
  if (serial === null && kind !== null && assetSerial !== null) return directory.asset(row);
  if (!row.faulty) {
    const reason = 'a row names either a gateway serial, or an asset kind and an asset serial';
    row.fault('gateway serial', 'either_or', reason);
  }
  return undefined;
}

function spanOf(
  row: ImportRow,
  unit: KnownUnit,
  nowMs: number,
): { fromMs: number; toMs: number | null } | null {
  const fromMs = row.moment('from', unit.zone);
  const toMs = row.moment('to', unit.zone);
  if (typeof fromMs !== 'number' || toMs === undefined) return null;
  if (!isPossible(row, 'from', fromMs, nowMs)) return null;
  if (toMs !== null && toMs <= fromMs) {
    row.fault('to', 'time_invalid', 'it must end after it begins');
    return null;
  }
  return { fromMs, toMs };
}

const endOf = (span: { toMs: number | null }) => span.toMs ?? Number.POSITIVE_INFINITY;

export function installImporter(importing: Importing) {
  const { work, directory, relink } = importing;
  const twice = new Twice();
  return async (row: ImportRow): Promise<Became | null> => {
    const unit = directory.unit(row, 'unit');
    const what = whatOf(directory, row);
    const during = unit && spanOf(row, unit, work.nowMs);
    if (row.faulty && what && 'assetId' in what) directory.badlyPlaced.add(what.assetId);
    if (row.faulty || !unit || !what || !during) return null;
    const id = 'assetId' in what ? what.assetId : what.gatewayId;
    if (twice.met(row, `${id} ${during.fromMs}`, 'from')) return null;
    const others = directory.installs.get(id) ?? [];
    const same = others.find(
      (each) => each.unitId === unit.unitId && each.during.fromMs === during.fromMs,
    );
    if (same && (row.text('to') === null || same.during.toMs === during.toMs)) return 'unchanged';
    if (same) {
      const until = same.during.toMs === null ? 'open' : instantText(same.during.toMs);
      row.fault('to', 'differs', `it is here already, with its end ${until}`);
      return null;
    }
    const over = others.find(
      (each) => each.during.fromMs < endOf(during) && during.fromMs < endOf(each.during),
    );
    if (over) {
      const since = instantText(over.during.fromMs);
      row.fault('from', 'install_overlaps', `it is somewhere else from ${since} on`);
      return null;
    }
    relink.push(await write(importing, row, { unitId: unit.unitId, what, during }));
    return 'create';
  };
}

async function write(
  { work, directory }: Importing,
  row: ImportRow,
  install: { unitId: string; what: What; during: InstallRow['during'] },
): Promise<InstallRow> {
  const { unitId, what, during } = install;
  const made: InstallRow = {
    fleetId: work.fleetId,
    installId: uuid(),
    unitId,
    assetId: 'assetId' in what ? what.assetId : null,
    gatewayId: 'gatewayId' in what ? what.gatewayId : null,
    during,
    note: row.text('note'),
    createdAtMs: work.nowMs,
  };
  await insertInstall(work.tx, made);
  directory.addInstall(made);
  work.record({
    type: 'install.begun',
    subject: 'assetId' in what ? `asset/${what.assetId}` : `gateway/${what.gatewayId}`,
    data: { installId: made.installId, unitId, from: during.fromMs, to: during.toMs },
    occurredAtMs: during.fromMs,
  });
  return made;
}
