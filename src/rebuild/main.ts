import { parseArgs } from 'node:util';
import { pino } from 'pino';
import { startEmbedded } from '../../db/embedded.ts';
import { migrate } from '../../db/migrate.ts';
import { systemClock } from '../clock.ts';
import { processConfig } from '../config.ts';
import { rebuildUsage } from '../flows/rebuild-usage.ts';
import { OperatorError, reportFailure } from '../operator-error.ts';
import { openPools } from '../store/pool.ts';
import { allFleets } from '../store/sweep.ts';

const USE = `npm run rebuild                     folds the readings of every fleet anew
npm run rebuild -- --fleet 1        of one fleet
It may run beside the service. Says how many days came out otherwise than they stood.
`;

/** The fleet that was asked for; null for all. @throws OperatorError */
function fleetIn(text: string | undefined): number | null {
  if (text === undefined) return null;
  if (!/^[1-9]\d{0,8}$/.test(text)) {
    throw new OperatorError('--fleet must be the number of a fleet, such as 1.');
  }
  return Number(text);
}

async function main(): Promise<void> {
  const { values } = parseArgs({
    options: { fleet: { type: 'string' }, help: { type: 'boolean' } },
  });
  if (values.help) {
    process.stdout.write(USE);
    return;
  }
  const fleet = fleetIn(values.fleet);
  const config = processConfig();
  const log = pino({ level: config.logLevel });
  const server =
    config.databaseUrl === null ? await startEmbedded({ dataDir: config.dataDir, log }) : null;
  const ownerUrl = server?.ownerUrl ?? (config.databaseUrl as string);
  try {
    await migrate(ownerUrl, { log });
    const pools = openPools(ownerUrl, { log });
    // Wake-up calls are left to the sweep of the running service, or to its next start.
    const queue = { wake: () => undefined, changed: () => undefined };
    try {
      const known = await allFleets(pools.scheduler);
      if (fleet !== null && !known.includes(fleet)) {
        throw new OperatorError(`There is no fleet ${fleet} in this database.`);
      }
      const fleets = fleet === null ? known : [fleet];
      for (const fleetId of fleets) {
        const done = await rebuildUsage({ pools, clock: systemClock, queue }, fleetId);
        process.stdout.write(
          `fleet ${fleetId}: ${done.lines} lines, ${done.segments} segments, ` +
            `${done.daysChanged} days changed, ${done.left} left to the workers\n`,
        );
      }
    } finally {
      await pools.close();
    }
  } finally {
    await server?.stop();
  }
}

try {
  await main();
} catch (error) {
  reportFailure(error);
  process.exitCode = 1;
}
