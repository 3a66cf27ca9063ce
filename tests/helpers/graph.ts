import pg from 'pg';
import { vi } from 'vitest';
import type { Client, Json } from './client.ts';

/** An answer of the graph that must be without errors. */
export async function graph(
  client: Client,
  query: string,
  variables: Record<string, unknown> = {},
): Promise<Json> {
  const { body } = await client.post('/graphql', { query, variables });
  if (body.errors) throw new Error(JSON.stringify(body.errors));
  return body.data;
}

/** Every node of a connection at the top, `first` at a time. */
export async function nodesOf(
  client: Client,
  field: string,
  selection: string,
  first = 100,
): Promise<Json[]> {
  const nodes: Json[] = [];
  let after: string | null = null;
  for (let pages = 0; pages < 1_000; pages += 1) {
    const name = field.split('(')[0] as string;
    const more = field.includes('(') ? field.slice(name.length + 1, -1) : '';
    const query = `query ($first: Int!, $after: String) {
      ${name}(first: $first, after: $after, ${more}) {
        nodes { ${selection} } pageInfo { hasNextPage endCursor } } }`;
    const data: Json = await graph(client, query, { first, after });
    nodes.push(...data[name].nodes);
    if (!data[name].pageInfo.hasNextPage) return nodes;
    after = data[name].pageInfo.endCursor;
  }
  throw new Error(`${field} has no last page`);
}

/** How many statements a question takes, besides those that begin and end its transaction. */
export async function statementsOf(
  client: Client,
  query: string,
  variables: Record<string, unknown> = {},
): Promise<number> {
  const spy = vi.spyOn(pg.Client.prototype, 'query');
  await graph(client, query, variables);
  const texts = spy.mock.calls.map(([said]) =>
    typeof said === 'string' ? said : ((said as { text?: string })?.text ?? ''),
  );
  spy.mockRestore();
  return texts.filter((said) => !/^(begin|commit|set|rollback)/.test(said)).length;
}
