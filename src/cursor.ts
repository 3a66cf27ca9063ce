import { isDay } from './domain/upkeep/calendar.ts';
import { Problem } from './errors.ts';

/**
 * What a part of a sort key is; `day` may also be 'infinity', where no day is in sight; a `serial`
 * is a number that the database gave out.
 */
export type PartKind = 'text' | 'id' | 'day' | 'number' | 'serial';
export type Kinds = readonly PartKind[];
export type KeyParts<K extends Kinds> = {
  -readonly [I in keyof K]: K[I] extends 'number' | 'serial' ? number : string;
};

/** A keyset cursor: the sort key of the last row of a page, opaque to clients. */
export function printCursor(parts: readonly (string | number)[]): string {
  return Buffer.from(JSON.stringify(parts)).toString('base64url');
}

export const idShape = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;
const numberMax = 2_147_483_647;

/** Whether the database can compare it; a client may send anything as a cursor. */
function fitsKind(part: unknown, kind: PartKind): boolean {
  if (kind === 'number') return Number.isInteger(part) && Math.abs(Number(part)) <= numberMax;
  if (kind === 'serial') return Number.isSafeInteger(part);
  if (typeof part !== 'string') return false;
  if (kind === 'id') return idShape.test(part);
  if (kind === 'day') return part === 'infinity' || isDay(part);
  return part.length <= 200 && !part.includes('\u0000');
}

/**
 * Reads a cursor of a list whose sort key has these kinds of parts.
 *
 * @throws Problem cursor_invalid
 */
export function parseCursor<const K extends Kinds>(
  text: string | undefined,
  kinds: K,
): KeyParts<K> | null {
  if (text === undefined) return null;
  let parts: unknown;
  try {
    parts = JSON.parse(Buffer.from(text, 'base64url').toString());
  } catch {
    parts = null;
  }
  const fits =
    Array.isArray(parts) &&
    parts.length === kinds.length &&
    kinds.every((kind, i) => fitsKind((parts as unknown[])[i], kind));
  if (!fits) throw new Problem('cursor_invalid', 'Take the cursor from `next` of this very list.');
  return parts as KeyParts<K>;
}

/** Cuts a list that was read one row too long, and makes the cursor of the next page. */
export function page<T, U>(
  rows: readonly T[],
  limit: number,
  show: (row: T) => U,
  key: (row: T) => (string | number)[],
): { items: U[]; next?: string } {
  const items = rows.slice(0, limit).map(show);
  if (rows.length <= limit) return { items };
  return { items, next: printCursor(key(rows[limit - 1] as T)) };
}
