import { parse } from 'csv-parse/sync';
import {
  type Column,
  headerKey,
  type SheetName,
  sheets,
} from '../../domain/import/sheet-columns.ts';
import type { ImportReport } from './import-faults.ts';
import { ImportRow } from './import-row.ts';

/** Rows of one sheet, of all sheets together, and characters of one record, at most. */
export const rowsMost = 5_000;
export const rowsInAllMost = 20_000;
const recordMost = 20_000;

const separators = [',', ';', '\t'];

/** The separator that the header line has most of outside of quotes. */
function separatorOf(text: string): string {
  const header = (/^(?:"(?:[^"]|"")*"|[^"\r\n])*/.exec(text)?.[0] ?? '').replace(/"[^"]*"/g, '');
  const count = (mark: string) => header.split(mark).length;
  return separators.reduce((best, mark) => (count(mark) > count(best) ? mark : best));
}

/** The column of each place in the header, or null when the header is not to be used. */
function readHeader(
  sheet: SheetName,
  header: readonly string[],
  report: ImportReport,
): Column[] | null {
  const columns: readonly Column[] = sheets[sheet].columns;
  const where = { sheet, row: 1 };
  const before = report.faults.length + report.faultsOmitted;
  const found: (Column | undefined)[] = [];
  for (const text of header) {
    const column = columns.find((each) => headerKey(each.name) === headerKey(text));
    if (!column) {
      const known = columns.map((each) => each.name).join(', ');
      report.fault(where, text.trim(), 'column_unknown', `the columns are: ${known}`, text);
    } else if (found.includes(column)) {
      report.fault(where, column.name, 'column_twice', 'this column is there twice', text);
    }
    found.push(column);
  }
  for (const column of columns) {
    if (column.required && !found.includes(column)) {
      report.fault(where, column.name, 'column_missing', 'this column must be there');
    }
  }
  const sound = report.faults.length + report.faultsOmitted === before;
  return sound ? found.filter((column) => column !== undefined) : null;
}

/**
 * The rows of a sheet that hold something, or none when the sheet as a whole cannot be used; then
 * the report says why. Records, not lines, are counted, as a spreadsheet shows them.
 */
export function readSheet(sheet: SheetName, given: string, report: ImportReport): ImportRow[] {
  const counts = report.open(sheet);
  const where = { sheet, row: 1 };
  // Spreadsheets may say the separator in a first line that they hide.
  const text = given.replace(/^\ufeff/, '').replace(/^sep=.\r?\n/i, '');
  const separator = separatorOf(text);
  let records: string[][];
  try {
    records = parse(text, {
      delimiter: separator,
      relax_column_count: true,
      skip_empty_lines: false,
      max_record_size: recordMost,
      to: rowsMost + 2,
    });
  } catch (error) {
    const row = (error as { records?: unknown }).records;
    const at = typeof row === 'number' ? row + 1 : 1;
    const reason = `a quote is not closed, stands in the middle of a cell, or the row is too long`;
    report.fault({ sheet, row: at }, null, 'sheet_unreadable', reason);
    return [];
  }
  const header = records[0];
  if (!header || header.every((cell) => cell.trim() === '')) {
    report.fault(where, null, 'sheet_empty', 'the first row must name the columns');
    return [];
  }
  while (header.length > 1 && header.at(-1)?.trim() === '') header.pop();
  const columns = readHeader(sheet, header, report);
  if (!columns) return [];
  if (records.length > rowsMost + 1) {
    const reason = `at most ${rowsMost} rows a sheet; import the rest in another`;
    report.fault({ sheet, row: rowsMost + 2 }, null, 'rows_too_many', reason);
    return [];
  }
  const rows: ImportRow[] = [];
  records.slice(1).forEach((cells, i) => {
    if (cells.every((cell) => cell.trim() === '')) return;
    counts.rows += 1;
    rows.push(new ImportRow({ sheet, row: i + 2 }, columns, cells, separator, report));
  });
  return rows;
}
