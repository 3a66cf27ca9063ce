import { processConfig } from './config.ts';
import { reportFailure } from './operator-error.ts';
import { runProcess } from './run.ts';

try {
  await runProcess(processConfig());
} catch (error) {
  reportFailure(error);
  process.exitCode = 1;
}
