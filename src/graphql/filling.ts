import type { MercuriusContext } from 'mercurius';
import * as edges from '../store/edges.ts';
import type { GraphContext } from './context.ts';

/** One field of one parent, waiting to be filled. */
interface Query<P, A = Record<string, never>> {
  obj: P;
  params: A;
}
type Loader<P, A> = (
  queries: Query<P, A>[],
  context: MercuriusContext & GraphContext,
) => Promise<unknown[]>;

/** Fills a field of many parents that name one other thing each: one statement. */
export function one<P, T>(
  idOf: (parent: P) => string | null,
  find: (ids: string[], context: GraphContext) => Promise<Map<string, T>>,
): { loader: Loader<P, unknown>; opts: { cache: false } } {
  const loader: Loader<P, unknown> = async (queries, context) => {
    const ids = queries.map(({ obj }) => idOf(obj));
    const wanted = [...new Set(ids.filter((id) => id !== null))];
    const found = wanted.length === 0 ? new Map<string, T>() : await find(wanted, context);
    return ids.map((id) => (id === null ? null : (found.get(id) ?? null)));
  };
  return { loader, opts: { cache: false } };
}

/** Fills a field of many parents: one statement for each set of arguments that was asked with. */
export function many<P, A>(
  idOf: (parent: P) => string,
  fill: (ids: string[], args: A, context: GraphContext) => Promise<(id: string) => unknown>,
): { loader: Loader<P, A>; opts: { cache: false } } {
  const loader: Loader<P, A> = async (queries, context) => {
    const byArgs = new Map<string, { args: A; ids: Set<string> }>();
    const keys = queries.map(({ obj, params }) => {
      const key = JSON.stringify(params);
      const group = byArgs.get(key) ?? { args: params, ids: new Set() };
      byArgs.set(key, group);
      group.ids.add(idOf(obj));
      return key;
    });
    const filled = new Map<string, (id: string) => unknown>();
    for (const [key, { args, ids }] of byArgs) filled.set(key, await fill([...ids], args, context));
    return queries.map(({ obj }, i) => filled.get(keys[i] as string)?.(idOf(obj)));
  };
  return { loader, opts: { cache: false } };
}

/** The yard, unit or asset that a parent names. */
export const yard = <P>(idOf: (parent: P) => string | null) =>
  one(idOf, (ids, { tx, fleetId }) => edges.yardsByIds(tx, fleetId, ids));
export const unit = <P>(idOf: (parent: P) => string | null) =>
  one(idOf, (ids, { tx, fleetId, nowMs }) => edges.unitsByIds(tx, fleetId, ids, nowMs));
export const asset = <P>(idOf: (parent: P) => string | null) =>
  one(idOf, (ids, { tx, fleetId, nowMs }) => edges.assetsByIds(tx, fleetId, ids, nowMs));
