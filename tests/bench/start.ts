import { startProcess } from './process.ts';
import { median } from './statistics.ts';

export const seconds = (ms: number): number => Number((ms / 1000).toFixed(3));

/** From the command to the first answer of /readyz on a folder that was used before. */
export async function secondStart(
  dataDir: string,
  port: number,
  times: number,
): Promise<{ start_s: number; start_slowest_s: number }> {
  const took: number[] = [];
  for (let i = 0; i < times; i++) {
    const service = await startProcess({ DATA_DIR: dataDir }, port);
    took.push(service.startMs);
    await service.stop();
  }
  return { start_s: seconds(median(took)), start_slowest_s: seconds(Math.max(...took)) };
}
