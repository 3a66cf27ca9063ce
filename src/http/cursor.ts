import { Problem } from '../errors.ts';

/** A keyset cursor: the sort key of the last row of a page, opaque to clients. */
export function printCursor(parts: readonly (string | number)[]): string {
  return Buffer.from(JSON.stringify(parts)).toString('base64url');
}

/**
 * Reads a cursor of a list whose sort key has these kinds of parts.
 *
 * @throws Problem cursor_invalid
 */
export function parseCursor<K extends readonly ('string' | 'number')[]>(
  text: string | undefined,
  kinds: K,
): { [I in keyof K]: K[I] extends 'string' ? string : number } | null {
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
    parts.every((part, i) => typeof part === kinds[i] && String(part).length <= 200);
  if (!fits) throw new Problem('cursor_invalid', 'Take the cursor from `next` of this very list.');
  return parts as never;
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
