import { processConfig } from '../src/config.ts';
import { reportFailure } from '../src/operator-error.ts';
import { runProcess } from '../src/run.ts';

try {
  await runProcess({ ...processConfig(), role: 'worker' });
} catch (error) {
  reportFailure(error);
  process.exitCode = 1;
}
