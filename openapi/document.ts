import { pino } from 'pino';
import { buildApp } from '../src/app.ts';

/** A dependency that the contract does not need; touching it would be a mistake. */
const absent = new Proxy({}, { get: () => undefined }) as never;

/**
 * The OpenAPI document and the GraphQL schema as text, made from the routes and types alone: no
 * database, no queue, no listening.
 */
export async function contractTexts(): Promise<{ openApi: string; graph: string }> {
  const app = await buildApp({
    pools: absent,
    clock: { nowMs: () => 0 },
    queue: absent,
    directory: absent,
    posts: absent,
    limits: { gateway: 0, people: 0, integrator: 0 },
    log: pino({ level: 'silent' }),
    stopping: { stopping: false },
    version: '1',
    isReady: async () => false,
  });
  await app.ready();
  const document = app.swagger();
  const graph = app.graphText();
  await app.close();
  // One space a level: with two, a fifth of the file would be blanks.
  return { openApi: `${JSON.stringify(document, null, 1)}\n`, graph };
}
