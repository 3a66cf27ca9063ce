import { type SQL, sql } from 'drizzle-orm';
import type { PgTable } from 'drizzle-orm/pg-core';
import { builder, type Tx } from './tx.ts';

/** The parent that a part of the statement reads for. */
const parent = sql.raw('p.parent');

export interface OfEach {
  /** Which rows of the table are the parent's: a condition with the parent in it. */
  where(parent: SQL): SQL | undefined;
  /** The sort key; the page begins after it, which `where` says. */
  order: SQL[];
  limit: number;
}

/**
 * Of each of many parents the first rows of a table in an order: all in one statement, and of no
 * parent more than are asked for.
 */
export async function firstOfEach<T extends PgTable>(
  tx: Tx,
  table: T,
  ids: readonly string[],
  { where, order, limit }: OfEach,
): Promise<Map<string, T['$inferSelect'][]>> {
  const part = builder(tx)
    .select()
    .from(table as PgTable)
    .where(where(parent))
    .orderBy(...order)
    .limit(limit)
    .as('x');
  const each = sql.param([...new Set(ids)]);
  const list = sql`unnest(${each}::uuid[]) with ordinality as p (parent, n)`;
  const rows = await builder(tx)
    .select({ parent: sql<string>`p.parent`, row: part._.selectedFields as Record<string, never> })
    .from(list)
    .crossJoinLateral(part)
    .orderBy(sql`p.n`);
  const found = new Map<string, T['$inferSelect'][]>();
  for (const { parent: id, row } of rows) {
    const list = found.get(id) ?? [];
    list.push(row);
    found.set(id, list);
  }
  return found;
}
