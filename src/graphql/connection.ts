import { idShape, type KeyParts, type Kinds, parseCursor, printCursor } from '../cursor.ts';
import { Problem } from '../errors.ts';
import { builder } from './builder.ts';

/** Things asked for at once: at most, and when nothing is said. */
export const firstMax = 100;
export const firstDefault = 20;

/** A page of a connection: as the Cursor Connections Specification of GraphQL has it. */
export interface Page<T> {
  rows: readonly T[];
  hasNext: boolean;
  hasPrevious: boolean;
  keyOf(row: T): (string | number)[];
}

export interface PageArgs {
  first: number;
  after?: string | null | undefined;
}

/** The arguments of every connection. */
export const pageArgs = () =>
  builder.args((t) => ({
    first: t.int({
      required: true,
      defaultValue: firstDefault,
      description: `How many, 1 to ${firstMax}; each counts towards the cost.`,
    }),
    after: t.string({ description: 'The `endCursor` of the page before.' }),
  }));

/**
 * What to read for a page: one row more than asked shows whether there is a next page.
 *
 * @throws Problem query_invalid, cursor_invalid
 */
export function asked<const K extends Kinds>(
  { first, after }: PageArgs,
  kinds: K,
): { after: KeyParts<K> | null; limit: number } {
  if (first < 1 || first > firstMax) {
    throw new Problem('query_invalid', `first: from 1 to ${firstMax}.`);
  }
  return { after: parseCursor(after ?? undefined, kinds), limit: first + 1 };
}

/** Cuts what was read one row too long. */
export function cut<T>(
  rows: readonly T[],
  { first, after }: PageArgs,
  keyOf: Page<T>['keyOf'],
): Page<T> {
  return {
    rows: rows.slice(0, first),
    hasNext: rows.length > first,
    hasPrevious: after !== undefined && after !== null,
    keyOf,
  };
}

const cursorOf = <T>(page: Page<T>, row: T | undefined): string | null =>
  row === undefined ? null : printCursor(page.keyOf(row));

const PageInfo = builder.objectRef<Page<never>>('PageInfo').implement({
  fields: (t) => ({
    hasNextPage: t.boolean({ resolve: (page) => page.hasNext }),
    hasPreviousPage: t.boolean({ resolve: (page) => page.hasPrevious }),
    startCursor: t.string({ nullable: true, resolve: (page) => cursorOf(page, page.rows[0]) }),
    endCursor: t.string({ nullable: true, resolve: (page) => cursorOf(page, page.rows.at(-1)) }),
  }),
});

type NodeRef<T> = ReturnType<typeof builder.objectRef<T>>;

/** The connection type of a kind of node. */
export function connectionOf<T>(node: NodeRef<T>, name: string) {
  const edge = builder.objectRef<{ page: Page<T>; row: T }>(`${name}Edge`).implement({
    fields: (t) => ({
      cursor: t.string({ resolve: ({ page, row }) => printCursor(page.keyOf(row)) }),
      node: t.field({ type: node as never, resolve: ({ row }) => row as never }),
    }),
  });
  return builder.objectRef<Page<T>>(`${name}Connection`).implement({
    fields: (t) => ({
      nodes: t.field({ type: [node] as never, resolve: (page) => page.rows as never }),
      edges: t.field({
        type: [edge],
        resolve: (page) => page.rows.map((row) => ({ page, row })),
      }),
      pageInfo: t.field({ type: PageInfo, resolve: (page) => page as unknown as Page<never> }),
    }),
  });
}

/** The id that was given. @throws Problem query_invalid */
export function idOf(text: string): string {
  const id = text.toLowerCase();
  if (!idShape.test(id)) throw new Problem('query_invalid', 'An id is a UUID.');
  return id;
}
