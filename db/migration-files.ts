import { createHash } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { OperatorError } from '../src/operator-error.ts';

/** One numbered SQL file. */
export interface Migration {
  number: number;
  /** The file's name without `.sql`. */
  name: string;
  sql: string;
  /** Of the text with LF line ends, so that a checkout on Windows is the same migration. */
  sha256: string;
  /** Code older than this migration must not run on it. */
  breaking: boolean;
  /** The file's one statement may not run in a transaction (CREATE INDEX CONCURRENTLY). */
  noTransaction: boolean;
}

/** A migration that cannot or must not be applied; the message says why and what to do. */
export class MigrationError extends OperatorError {
  override name = 'MigrationError';
}

const MAX_FILES = 9_999;

/** The comment lines at the head of a file, where its marks stand. */
function marks(sql: string): string[] {
  const lines: string[] = [];
  for (const line of sql.split('\n')) {
    if (!line.startsWith('--')) break;
    lines.push(line.slice(2).trim());
  }
  return lines;
}

/**
 * Reads a folder of `NNNN_name.sql` files in order. A head line `-- breaking` or
 * `-- no-transaction` marks a file.
 * @throws MigrationError for a misnamed file or a number used twice.
 */
export async function readMigrations(folder: string): Promise<Migration[]> {
  const names = (await readdir(folder)).filter((name) => name.endsWith('.sql')).sort();
  if (names.length > MAX_FILES) throw new MigrationError(`${folder} holds too many files.`);
  const list: Migration[] = [];
  for (const file of names) {
    const number = /^(\d{4})_[a-z0-9_]+\.sql$/.exec(file)?.[1];
    if (number === undefined) {
      throw new MigrationError(`${file} is not named like a migration: 0001_what_it_does.sql`);
    }
    const sql = (await readFile(join(folder, file), 'utf8')).replaceAll('\r\n', '\n');
    const head = marks(sql);
    const twin = list.find((other) => other.number === Number(number));
    if (twin) throw new MigrationError(`${file} and ${twin.name}.sql have the same number.`);
    list.push({
      number: Number(number),
      name: file.slice(0, -'.sql'.length),
      sql,
      sha256: createHash('sha256').update(sql).digest('hex'),
      breaking: head.includes('breaking'),
      noTransaction: head.includes('no-transaction'),
    });
  }
  return list;
}

/** A line of the ledger. */
export interface Applied {
  number: number;
  name: string;
  sha256: string;
  breaking: boolean;
}

/**
 * Compares the ledger with the files.
 * @returns what is still to apply, and the names that only the database knows (a newer version's).
 * @throws MigrationError when they contradict each other.
 */
export function planMigrations(
  files: readonly Migration[],
  applied: readonly Applied[],
): { pending: Migration[]; newer: string[] } {
  const byNumber = new Map(files.map((file) => [file.number, file]));
  const lastFile = files.at(-1)?.number ?? 0;
  const lastApplied = Math.max(0, ...applied.map((line) => line.number));
  const newer: Applied[] = [];
  for (const line of applied) {
    const file = byNumber.get(line.number);
    if (file === undefined) {
      if (line.number > lastFile) newer.push(line);
      else {
        throw new MigrationError(
          `The database has migration ${line.name}, which this version does not have. ` +
            'Migrations are never removed: restore the file.',
        );
      }
    } else if (file.sha256 !== line.sha256 || file.name !== line.name) {
      throw new MigrationError(
        `Migration ${file.name}.sql is not what was applied to this database (${line.name}, ` +
          `SHA-256 ${line.sha256.slice(0, 12)}…, now ${file.sha256.slice(0, 12)}…). Applied ` +
          'migrations never change: restore the file and write a new one.',
      );
    }
  }
  const breaking = newer.filter((line) => line.breaking);
  if (breaking.length > 0) {
    throw new MigrationError(
      `The database was moved on by a newer version of the service (${names(breaking)}), and ` +
        'this version cannot work on it. Start the newer version, or restore a backup from before.',
    );
  }
  const pending = files.filter((file) => !applied.some((line) => line.number === file.number));
  const late = pending.find((file) => file.number < lastApplied);
  if (late !== undefined) {
    throw new MigrationError(
      `Migration ${late.name}.sql has a lower number than one that is applied already ` +
        `(${lastApplied}). Give it the next free number.`,
    );
  }
  return { pending, newer: newer.map((line) => line.name) };
}

const names = (lines: readonly Applied[]) => lines.map((line) => line.name).join(', ');
