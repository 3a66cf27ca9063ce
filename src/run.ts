import { type Logger, pino } from 'pino';
import { ConnectError } from '../db/connect.ts';
import { EmbeddedError } from '../db/embedded.ts';
import { MigrationError } from '../db/migrate.ts';
import { RoleError } from '../db/roles.ts';
import type { Config } from './config.ts';
import { createLifecycle } from './lifecycle.ts';
import { type Service, StartError, startService } from './service.ts';

const plainKinds = [ConnectError, EmbeddedError, MigrationError, RoleError, StartError];

/**
 * Says on standard error why the process cannot go on: in plain words where the operator can mend
 * it.
 */
export function reportFailure(error: unknown): void {
  const plain =
    plainKinds.some((kind) => error instanceof kind) ||
    (error instanceof Error && error.name === 'ConfigError');
  const text = error instanceof Error ? (plain ? error.message : error.stack) : String(error);
  process.stderr.write(`${text}\n`);
}

/** Runs one process of the service until a signal. A failed start is told and ends it with 1. */
export async function runProcess(config: Config): Promise<void> {
  const log = pino({ level: config.logLevel });
  const lifecycle = createLifecycle({ log });
  lifecycle.run();
  try {
    tellStarted(await startService({ config, log, lifecycle }), config, log);
  } catch (error) {
    // A signal during the start has its own reason.
    if (!lifecycle.stopping) reportFailure(error);
    await lifecycle.stop('the start failed', 1);
  }
}

function tellStarted(service: Service, config: Config, log: Logger): void {
  if (service.url !== null) {
    log.info({ url: service.url, docs: `${service.url}/docs` }, 'serving');
  } else log.info('working');
  if (service.adminKey !== null && config.adminKey === null) {
    process.stdout.write(
      `\nThe first admin key, shown only now. Keep it safe:\n\n  ${service.adminKey}\n\n`,
    );
  }
}
