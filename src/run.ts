import { type Logger, pino } from 'pino';
import type { Config } from './config.ts';
import { createLifecycle } from './lifecycle.ts';
import { reportFailure } from './operator-error.ts';
import { type Service, startService } from './service.ts';

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
