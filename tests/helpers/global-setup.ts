import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { TestProject } from 'vitest/node';
import { startTestServer } from './test-server.ts';

declare module 'vitest' {
  interface ProvidedContext {
    /** Local address that answers with the run's `TestServer`, started at the first call. */
    databaseBroker: string;
  }
}

/**
 * One database server per run, started when the first test file asks for a database: files without
 * one pay nothing.
 */
export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  let started: ReturnType<typeof startTestServer> | null = null;
  const broker = createServer((_request, response) => {
    started ??= startTestServer(process.env.DATABASE_URL);
    started.then(
      ({ server }) => response.end(JSON.stringify(server)),
      (error: unknown) => {
        const cause = error instanceof Error && error.cause instanceof Error ? error.cause : null;
        response.statusCode = 500;
        response.end(`${error instanceof Error ? error.message : error} ${cause?.message ?? ''}`);
      },
    );
  });
  await new Promise<void>((settle) => broker.listen(0, '127.0.0.1', settle));
  project.provide('databaseBroker', `http://127.0.0.1:${(broker.address() as AddressInfo).port}/`);
  return async () => {
    broker.close();
    broker.closeAllConnections();
    const running = await (started as ReturnType<typeof startTestServer> | null)?.catch(() => null);
    if (running) {
      await running.stop();
      process.stdout.write(`Databases of this run: ${running.kind}.\n`);
    }
  };
}
