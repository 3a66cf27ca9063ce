import { userInfo } from 'node:os';
import { parseArgs } from 'node:util';
import { pino } from 'pino';
import { processConfig } from '../src/config.ts';
import { reportFailure } from '../src/operator-error.ts';
import { type EmbeddedServer, startEmbedded } from './embedded.ts';
import { migrate } from './migrate.ts';
import { rolesSql } from './roles.ts';

const USE = `npm run migrate                              brings the database up to this version
npm run --silent migrate -- --roles-sql      prints what an administrator may run for the roles
`;

/** `npm run migrate`: the database of DATABASE_URL, or the embedded one of DATA_DIR. */
async function main(): Promise<number> {
  const { values } = parseArgs({
    options: { 'roles-sql': { type: 'boolean' }, help: { type: 'boolean' } },
  });
  if (values.help) {
    process.stdout.write(USE);
    return 0;
  }
  const config = processConfig();
  if (values['roles-sql']) {
    if (config.databaseUrl === null) {
      process.stderr.write('Set DATABASE_URL: the embedded server needs no administrator.\n');
      return 1;
    }
    const user = decodeURIComponent(new URL(config.databaseUrl).username) || userInfo().username;
    process.stdout.write(rolesSql(config.databaseUrl, user));
    return 0;
  }
  const log = pino({ level: config.logLevel });
  let server: EmbeddedServer | null = null;
  try {
    server = config.databaseUrl ? null : await startEmbedded({ dataDir: config.dataDir, log });
    const { applied } = await migrate(server?.ownerUrl ?? config.databaseUrl ?? '', { log });
    log.info({ applied }, applied.length ? 'the database is up to date now' : 'nothing to do');
    return 0;
  } finally {
    await server?.stop();
  }
}

try {
  process.exitCode = await main();
} catch (error) {
  reportFailure(error);
  process.exitCode = 1;
}
