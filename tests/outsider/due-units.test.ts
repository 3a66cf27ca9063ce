import { execFile } from 'node:child_process';
import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import { dayMs, FleetBuilder, greaseTask, startMs } from '../helpers/fleet.ts';

const app = useApp();
const program = fileURLToPath(new URL('./due-units.mjs', import.meta.url));
let address: string;
beforeAll(async () => {
  const fleet = new FleetBuilder(app);
  const yardId = await fleet.yard();
  const task = { ...greaseTask, every: { days: 30 } };
  const patternId = await fleet.pattern(task);
  // done so many days ago: ahead, in its window or overrun; the last was never done
  for (const [number, daysAgo] of [
    ['1', 1],
    ['2', 29],
    ['3', 45],
    ['4', 60],
    ['5', null],
  ] as const) {
    const { unitId } = await fleet.truck({ yardId, patternId, number });
    if (daysAgo !== null) await fleet.done(unitId, 'grease', startMs - daysAgo * dayMs);
  }
  await app.settle();
  address = await app.app.listen({ port: 0, host: '127.0.0.1' });
});

const run = async (...args: string[]): Promise<Json> => {
  const { stdout } = await promisify(execFile)(process.execPath, [program, ...args]);
  return JSON.parse(stdout);
};

describe('an outsider’s program', () => {
  test.each(['rest', 'graph'])('lists the due units over %s', async (way) => {
    const dispatcher = await app.as('dispatcher');
    const listed = await run(address, dispatcher.key as string, way);
    const items: Json[] = await app.admin.all('/v1/bring-in?status=overrun,in_window,unknown');
    const shown = items.map(({ number, status, reasons }) => ({
      number,
      status,
      why: reasons[0].text,
    }));
    expect(listed).toEqual(shown);
    expect(listed.map((unit: Json) => unit.number).sort()).toEqual(['2', '3', '4', '5']);
  });

  test('is told what is wrong with its key', async () => {
    await expect(run(address, 'lw_1_00000000_nothing', 'rest')).rejects.toThrow(/key_unknown/);
    await expect(run(address, 'lw_1_00000000_nothing', 'graph')).rejects.toThrow(/key_unknown/);
  });

  test('has about forty lines', async () => {
    expect((await readFile(program, 'utf8')).split('\n').length).toBeLessThan(45);
  });
});
