import { processConfig } from '../../src/config.ts';
import { armCrashPoint, type CrashPoint } from '../../src/crash-points.ts';
import { reportFailure } from '../../src/operator-error.ts';
import { runProcess } from '../../src/run.ts';

/**
 * The service as `npm run start` runs it, with a crash point armed: from the start by argv
 * `<point> <nth>`, or later by a message `{point, nth}` of the process that started it.
 */
const [point, nth] = process.argv.slice(2);
if (point !== undefined) armCrashPoint(point as CrashPoint, Number(nth));
process.on('message', (crash: { point: CrashPoint; nth: number }) => {
  armCrashPoint(crash.point, crash.nth);
  process.send?.('armed');
});
// The channel must not keep a process alive that has stopped.
process.channel?.unref();
// A test run that was itself killed leaves nothing behind.
process.on('disconnect', () => process.kill(process.pid, 'SIGKILL'));

try {
  await runProcess(processConfig());
} catch (error) {
  reportFailure(error);
  process.exitCode = 1;
}
