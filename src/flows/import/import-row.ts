import { type Cell, readMoment, readNumber, readYesNo } from '../../domain/import/cell.ts';
import type { Column, SheetName } from '../../domain/import/sheet-columns.ts';
import { isTimeZone } from '../../domain/usage/local-day.ts';
import type { ImportFaultCode, ImportReport } from './import-faults.ts';

// What cannot be kept, or would make two names look alike: controls, and halves of characters.
const unfit = /[\p{Cc}\p{Cs}]/u;
const unfitInNote = /[^\P{Cc}\n\r\t]|\p{Cs}/u;

/**
 * One row of a sheet. Each reader answers undefined for a faulty cell, whose fault is then in the
 * report, and null for an empty one; `faulty` is true from then on.
 */
export class ImportRow {
  readonly where: { sheet: SheetName; row: number };
  readonly #cells = new Map<string, string>();
  readonly #separator: string;
  readonly #report: ImportReport;
  faulty = false;

  constructor(
    where: { sheet: SheetName; row: number },
    columns: readonly Column[],
    cells: readonly string[],
    separator: string,
    report: ImportReport,
  ) {
    this.where = where;
    this.#separator = separator;
    this.#report = report;
    columns.forEach((column, i) => {
      const text = (cells[i] ?? '').trim();
      if (text === '') {
        if (column.required) this.fault(column.name, 'value_missing', 'must not be empty');
      } else if (this.#sound(column, text)) this.#cells.set(column.name, text);
    });
    const beyond = cells.slice(columns.length).find((cell) => cell.trim() !== '');
    if (beyond !== undefined) {
      this.fault(null, 'cells_too_many', 'the row has more cells than the header', beyond);
    }
  }

  #sound(column: Column, text: string): boolean {
    if (text.length > column.most) {
      this.fault(column.name, 'value_too_long', `at most ${column.most} characters`, text);
    } else if ((column.name === 'note' ? unfitInNote : unfit).test(text)) {
      this.fault(column.name, 'value_invalid', 'has a character that cannot be kept');
    } else if (column.kind === 'choice' && !column.choices?.includes(choiceOf(text))) {
      this.fault(column.name, 'value_invalid', `one of: ${column.choices?.join(', ')}`, text);
    } else if (column.kind === 'time_zone' && !isTimeZone(text)) {
      const reason = 'is no IANA time zone, such as America/Chicago';
      this.fault(column.name, 'value_invalid', reason, text);
    } else if (column.kind === 'whole' && !/^[1-9]\d*$/.test(text)) {
      this.fault(column.name, 'number_invalid', 'must be a whole number from 1', text);
    } else return true;
    return false;
  }

  fault(
    column: string | null,
    code: ImportFaultCode,
    reason: string,
    value: string | null = null,
  ): void {
    this.faulty = true;
    this.#report.fault(this.where, column, code, reason, value ?? this.text(column ?? ''));
  }

  /** The cell as it stands; null when it is empty, or was faulty. */
  text(column: string): string | null {
    return this.#cells.get(column) ?? null;
  }

  choice(column: string): string | null {
    const text = this.text(column);
    return text === null ? null : choiceOf(text);
  }

  number(column: string): number | null | undefined {
    return this.#read(column, (text) => readNumber(text, this.#separator));
  }

  moment(column: string, zone: string | null): number | null | undefined {
    return this.#read(column, (text) => readMoment(text, zone));
  }

  yesNo(column: string): boolean | null | undefined {
    return this.#read(column, readYesNo);
  }

  #read<T>(column: string, read: (text: string) => Cell<T>): T | null | undefined {
    const text = this.text(column);
    if (text === null) return null;
    const cell = read(text);
    if (cell.ok) return cell.value;
    this.fault(column, cell.code, cell.reason);
    return undefined;
  }

  change(column: string, from: string | null, to: string): void {
    this.#report.change(this.where, column, from, to);
  }
}

/** 'Dolly set' is the choice 'dolly_set'. */
const choiceOf = (text: string): string => text.toLowerCase().replace(/[\s-]+/g, '_');
