import { setTimeout as sleep } from 'node:timers/promises';
import Fastify from 'fastify';
import { startEmbedded } from '../../db/embedded.ts';
import { createLifecycle, drainPlugin, stopHttp } from '../../src/lifecycle.ts';

/**
 * A small service. argv[2] is JSON: `{dataDir?, deadlineMs?, hang?: boolean, fault?: boolean}`.
 * Prints `{port}` once it listens, and the name of each part as it stops.
 */
interface Wishes {
  dataDir?: string;
  deadlineMs?: number;
  hang?: boolean;
  fault?: boolean;
}

const say = (line: unknown) => console.log(JSON.stringify(line));
const tell = (fields: { err?: Error }, text: string) =>
  say({ log: text, reason: fields.err?.message });
const log = { debug: tell, info: tell, warn: tell, error: tell };
const wishes = JSON.parse(process.argv[2] ?? '{}') as Wishes;

const lifecycle = createLifecycle({ log, deadlineMs: wishes.deadlineMs ?? 10_000 });
lifecycle.run();
if (wishes.dataDir) {
  const server = await startEmbedded({ dataDir: wishes.dataDir, log });
  lifecycle.onStop('database', async (withinMs) => say({ database: await server.stop(withinMs) }));
}
lifecycle.onStop('pools', () => say({ part: 'pools' }));
lifecycle.onStop('workers', async () => {
  say({ part: 'workers' });
  if (wishes.hang) await sleep(60_000);
});

const app = Fastify();
await app.register(drainPlugin, { lifecycle });
app.get('/ready', async (_request, reply) => reply.code(lifecycle.stopping ? 503 : 200).send());
app.get('/slow', async () => {
  say({ part: 'request' });
  await sleep(400);
  return 'answered';
});
app.get('/endless', async () => {
  say({ part: 'request' });
  await sleep(60_000);
});
await app.listen({ port: 0, host: '127.0.0.1' });
lifecycle.onStop('http', stopHttp(app));
const [address] = app.addresses();
say({ port: typeof address === 'object' ? address.port : 0 });
if (wishes.fault) void Promise.reject(new Error('nobody catches this'));
