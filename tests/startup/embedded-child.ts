import { startEmbedded } from '../../db/embedded.ts';
import { silentLog } from '../../src/log.ts';

/**
 * Starts the embedded server of the folder in argv[2], prints `{port, ownerUrl, adopted}` or
 * `{error}`, and stops when a line arrives on its input.
 */
try {
  const server = await startEmbedded({ dataDir: process.argv[2] ?? '', log: silentLog });
  console.log(JSON.stringify(server));
  process.stdin.once('data', async () => {
    console.log(JSON.stringify({ end: await server.stop() }));
    process.exit(0);
  });
} catch (error) {
  console.log(JSON.stringify({ error: error instanceof Error ? error.message : String(error) }));
  process.exit(1);
}
