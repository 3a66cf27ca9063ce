import { type SheetName, sheetNames } from '../domain/import/sheet-columns.ts';
import { Problem } from '../errors.ts';
import { lockInstalls } from '../store/install.ts';
import { markUnits } from '../store/unit-mark.ts';
import { openDirectory } from './import/import-directory.ts';
import { assetImporter, gatewayImporter } from './import/import-equipment.ts';
import { type ImportFault, ImportReport } from './import/import-faults.ts';
import { importDones, openStarts, startImporter } from './import/import-history.ts';
import { installImporter } from './import/import-installs.ts';
import { unitImporter, yardImporter } from './import/import-places.ts';
import type { ImportRow } from './import/import-row.ts';
import { eachRow, type Importing } from './import/importing.ts';
import { readSheet, rowsInAllMost } from './import/read-sheet.ts';
import { linkMeterSources } from './link-meter-sources.ts';
import type { Recorder } from './record-upkeep.ts';
import type { Work } from './work.ts';

export type Sheets = Readonly<Partial<Record<SheetName, string | undefined>>>;

type Rows = Partial<Record<SheetName, ImportRow[]>>;

async function bringInAll(importing: Importing, rows: Rows): Promise<void> {
  const { report, directory } = importing;
  const importers = {
    yards: yardImporter(importing),
    units: unitImporter(importing),
    assets: assetImporter(importing),
    gateways: gatewayImporter(importing),
    installs: installImporter(importing),
  };
  for (const [sheet, bringIn] of Object.entries(importers)) {
    const name = sheet as keyof typeof importers;
    const counts = report.counts[name];
    if (counts) await eachRow(rows[name] ?? [], counts, bringIn);
  }
  if (!report.counts.startingValues && !report.counts.lastDone) return;
  const starts = await openStarts(importing);
  const counts = report.counts.startingValues;
  if (counts) await eachRow(rows.startingValues ?? [], counts, startImporter(importing, starts));
  const dones = report.counts.lastDone;
  if (!dones) return;
  if (directory.unread.has('startingValues')) return;
  const became = await importDones(importing, rows.lastDone ?? [], starts);
  await eachRow(rows.lastDone ?? [], dones, async (row) => became.get(row) ?? null);
}

/**
 * Brings in a fleet from sheets, in the transaction of `work`. Sound rows are written as they are
 * read; whoever calls must take the transaction back when the report is not faultless. The same
 * sheets again change nothing.
 */
export async function importFleet(work: Work, by: Recorder, given: Sheets): Promise<ImportReport> {
  const report = new ImportReport();
  const rows: Rows = {};
  const unread: SheetName[] = [];
  for (const sheet of sheetNames) {
    const text = given[sheet];
    if (text === undefined) continue;
    const before = report.faults.length + report.faultsOmitted;
    rows[sheet] = readSheet(sheet, text, report);
    const inAll = Object.values(rows).reduce((sum, list) => sum + list.length, 0);
    if (inAll > rowsInAllMost) {
      const reason = `at most ${rowsInAllMost} rows in all; import the later sheets on their own`;
      report.fault({ sheet, row: 1 }, null, 'rows_too_many', reason);
      rows[sheet] = [];
    }
    const read = rows[sheet].length > 0;
    if (!read && report.faults.length + report.faultsOmitted > before) unread.push(sheet);
  }
  // Of two imports at once the later sees what the earlier brought in.
  await lockInstalls(work.tx, work.fleetId);
  const directory = await openDirectory(work.tx, work.fleetId, work.nowMs, rows);
  for (const sheet of unread) directory.unread.add(sheet);
  const importing: Importing = {
    work,
    by,
    directory,
    report,
    relink: [],
    reassess: new Set<string>(),
  };
  await bringInAll(importing, rows);
  if (!report.faultless) return report;
  const relink = [...importing.relink];
  if (relink.length > 0) {
    await linkMeterSources(work, {
      unitIds: [...new Set(relink.map((each) => each.unitId))],
      assetIds: [...new Set(relink.flatMap((each) => each.assetId ?? []))],
      movedFromMs: relink.reduce((least, each) => Math.min(least, each.during.fromMs), Infinity),
    });
  }
  const shards = await markUnits(work.tx, work.fleetId, [...importing.reassess], work.nowMs);
  for (const shard of shards) work.wake('assess', shard);
  return report;
}

const faultsTold = 100;
const pathOf = ({ sheet, row, column }: ImportFault) =>
  `/${sheet}/${row}${column === null ? '' : `/${column}`}`;

/** @throws Problem import_refused when the report has faults, so that nothing is written */
export function refuseFaulty(report: ImportReport): void {
  if (report.faultless) return;
  const faults = report.inOrder();
  const count = faults.length + report.faultsOmitted;
  throw new Problem(
    'import_refused',
    `${count} fault(s) in the sheets, nothing was written. With dryRun all are listed.`,
    {
      errors: faults.slice(0, faultsTold).map((fault) => ({
        path: pathOf(fault),
        reason: `${fault.code}: ${fault.reason}`,
      })),
    },
  );
}
