import type { InstallRow } from '../../store/install.ts';
import type { Recorder } from '../record-upkeep.ts';
import type { Work } from '../work.ts';
import type { ImportDirectory } from './import-directory.ts';
import type { ImportReport, SheetCounts } from './import-faults.ts';
import type { ImportRow } from './import-row.ts';

/** What the sheets of one import share. */
export interface Importing {
  work: Work;
  by: Recorder;
  directory: ImportDirectory;
  report: ImportReport;
  /** What was put on units, whose meter sources must be worked out anew. */
  relink: InstallRow[];
  /** Units that must be assessed. */
  reassess: Set<string>;
}

/** What became of a row. */
export type Became = 'create' | 'update' | 'unchanged';

/**
 * Brings in the rows of one sheet. `bringIn` writes a sound row at once: a fault anywhere takes
 * the whole transaction back, and so a dry run does just what the real one does.
 */
export async function eachRow(
  rows: readonly ImportRow[],
  counts: SheetCounts,
  bringIn: (row: ImportRow) => Promise<Became | null>,
): Promise<void> {
  for (const row of rows) {
    const became = await bringIn(row);
    if (became === null || row.faulty) counts.faulty += 1;
    else counts[became] += 1;
  }
}

/** Refuses a row that names the same thing as an earlier one of its sheet. */
export class Twice {
  readonly #rows = new Map<string, number>();

  /** True, with a fault, when an earlier row was the same. */
  met(row: ImportRow, name: string, column: string): boolean {
    const earlier = this.#rows.get(name);
    if (earlier === undefined) {
      this.#rows.set(name, row.where.row);
      return false;
    }
    row.fault(column, 'row_twice', `row ${earlier} is the same`);
    return true;
  }
}

/** A fault when what is there is not what the sheet says. */
export function differs(
  row: ImportRow,
  column: string,
  is: string | null,
  said: string | null,
): boolean {
  if (said === null || said === is) return false;
  const reason = `it is here already, with ${is === null ? 'none' : `"${is.slice(0, 80)}"`}`;
  row.fault(column, 'differs', reason, said);
  return true;
}
