import type { CellFault } from '../../domain/import/cell.ts';
import { type SheetName, sheetNames } from '../../domain/import/sheet-columns.ts';

export const importFaultCodes = [
  'sheet_unreadable',
  'sheet_empty',
  'rows_too_many',
  'column_unknown',
  'column_twice',
  'column_missing',
  'cells_too_many',
  'value_missing',
  'value_too_long',
  'value_invalid',
  'number_invalid',
  'number_ambiguous',
  'date_invalid',
  'time_not_once',
  'time_zone_needed',
  'yes_no_invalid',
  'reference_unknown',
  'reference_ambiguous',
  'row_twice',
  'differs',
  'time_invalid',
  'install_overlaps',
  'either_or',
  'meter_not_counted',
  'start_missing',
  'value_above_start',
] as const;
export type ImportFaultCode = (typeof importFaultCodes)[number] | CellFault;

/** One fault of a sheet: where a spreadsheet shows it (the header is row 1), and why. */
export interface ImportFault {
  sheet: SheetName;
  row: number;
  column: string | null;
  code: ImportFaultCode;
  reason: string;
  value: string | null;
}

export interface ImportChange {
  sheet: SheetName;
  row: number;
  column: string;
  from: string | null;
  to: string;
}

export interface SheetCounts {
  rows: number;
  create: number;
  update: number;
  unchanged: number;
  faulty: number;
}

export const faultsMost = 500;
export const changesMost = 200;
const valueShown = 60;

/** What an import finds and does, row by row; so many of each are kept, the rest counted. */
export class ImportReport {
  readonly faults: ImportFault[] = [];
  readonly changes: ImportChange[] = [];
  faultsOmitted = 0;
  changesOmitted = 0;
  readonly counts: Partial<Record<SheetName, SheetCounts>> = {};
  readonly gatewayKeys: { serial: string; key: string }[] = [];

  get faultless(): boolean {
    return this.faults.length === 0;
  }

  open(sheet: SheetName): SheetCounts {
    const counts = { rows: 0, create: 0, update: 0, unchanged: 0, faulty: 0 };
    this.counts[sheet] = counts;
    return counts;
  }

  fault(
    where: { sheet: SheetName; row: number },
    column: string | null,
    code: ImportFaultCode,
    reason: string,
    value: string | null = null,
  ): void {
    if (this.faults.length >= faultsMost) {
      this.faultsOmitted += 1;
      return;
    }
    const shown = value === null ? null : short(value);
    this.faults.push({ sheet: where.sheet, row: where.row, column, code, reason, value: shown });
  }

  change(
    where: { sheet: SheetName; row: number },
    column: string,
    from: string | null,
    to: string,
  ): void {
    if (this.changes.length >= changesMost) {
      this.changesOmitted += 1;
      return;
    }
    const was = from === null ? null : short(from);
    this.changes.push({ sheet: where.sheet, row: where.row, column, from: was, to: short(to) });
  }

  /** By sheet and row, as a person goes through them. */
  inOrder(): ImportFault[] {
    const place = (fault: ImportFault) => sheetNames.indexOf(fault.sheet);
    return [...this.faults].sort((a, b) => place(a) - place(b) || a.row - b.row);
  }
}

/** Cut between characters, never inside of one. */
const short = (text: string): string =>
  text.length <= valueShown ? text : `${[...text.slice(0, valueShown)].slice(0, -1).join('')}…`;
