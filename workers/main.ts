import { processConfig } from '../src/config.ts';
import { reportFailure, runProcess } from '../src/run.ts';

try {
  await runProcess({ ...processConfig(), role: 'worker' });
} catch (error) {
  reportFailure(error);
  process.exitCode = 1;
}
