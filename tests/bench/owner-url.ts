import { startEmbedded } from '../../db/embedded.ts';
import { silentLog } from '../../src/log.ts';

/** The owner's address of the embedded database that a running service uses. */
export async function ownerUrlOf(dataDir: string): Promise<string> {
  const server = await startEmbedded({ dataDir, log: silentLog });
  const { ownerUrl } = server;
  await server.stop();
  return ownerUrl;
}
