import { pino } from 'pino';
import { buildApp } from '../src/app.ts';

/** A dependency that the contract does not need; touching it would be a mistake. */
const absent = new Proxy({}, { get: () => undefined }) as never;

/**
 * The OpenAPI document as text, made from the routes alone: no database, no queue, no
 * listening.
 */
export async function openApiText(): Promise<string> {
  const app = await buildApp({
    pools: absent,
    clock: { nowMs: () => 0 },
    queue: absent,
    directory: absent,
    limits: { gateway: 0, people: 0, integrator: 0 },
    log: pino({ level: 'silent' }),
    stopping: { stopping: false },
    version: '1',
    isReady: async () => false,
  });
  await app.ready();
  const document = app.swagger();
  await app.close();
  return `${JSON.stringify(document, null, 2)}\n`;
}
