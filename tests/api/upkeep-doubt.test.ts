import { beforeAll, describe, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import {
  FleetBuilder,
  greaseTask,
  hourMs,
  ptoCounter,
  run,
  startMs,
  type Truck,
} from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
let patternId: string;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  patternId = await fleet.pattern(greaseTask);
});

async function truck(): Promise<Truck> {
  await app.settleAt(startMs);
  const made = await fleet.truck({ patternId, counters: [ptoCounter] });
  await fleet.done(made.unitId, 'grease', startMs - 40 * hourMs);
  return made;
}
const state = async ({ unitId }: Truck) => {
  await app.settle();
  const { status, reasons } = await fleet.task(unitId);
  return `${status}: ${reasons.join(' ')}`;
};

describe('a meter is not known by a sign of life alone', () => {
  test('before its first reading', async () => {
    const made = await truck();
    await made.gateway.heartbeat();
    expect(await state(made)).toMatch(/^unknown: .*no reading yet/);
    await made.gateway.one(run(0, [startMs - 40 * hourMs, 0], [startMs, 20]));
    expect(await state(made)).toMatch(/^ahead/);
  });

  test('when what came after the last accepted reading was refused', async () => {
    const made = await truck();
    await made.gateway.one(run(0, [startMs - 40 * hourMs, 0], [startMs - 36 * hourMs, 20]));
    expect(await state(made)).toMatch(/^ahead/);
    await made.gateway.one({ firstSeq: 2, at: [startMs], raw: [-1] });
    await made.gateway.heartbeat();
    expect(await state(made)).toMatch(/^unknown: .*reading in doubt/);
    await made.gateway.one(run(3, [startMs, 30]));
    expect(await state(made)).toMatch(/^ahead/);
  });

  test('while the last readings are set aside', async () => {
    const made = await truck();
    await made.gateway.one(run(0, [startMs - 40 * hourMs, 0], [startMs - 36 * hourMs, 20]));
    await made.gateway.one(run(2, [startMs, 1_000_000]));
    expect(await state(made)).toMatch(/^unknown: .*reading in doubt/);
  });

  test('while the last reading is disputed', async () => {
    const made = await truck();
    await made.gateway.one(run(0, [startMs - 40 * hourMs, 0], [startMs - 36 * hourMs, 20]));
    await made.gateway.one(run(2, [startMs, 250]));
    expect(await state(made)).toMatch(/^overrun/);
    await made.gateway.one(run(2, [startMs, 251]));
    expect(await state(made)).toMatch(/^unknown: .*reading in doubt/);
  });
});

test('a clock that is years fast now does not move what it stamped before', async () => {
  const made = await truck();
  const readings = run(0, [startMs - 40 * hourMs, 0], [startMs - 1_000, 250]);
  const tenYearsMs = 3_650 * 24 * hourMs;
  await made.gateway.one(readings, { 'device-time': String(startMs + tenYearsMs) });
  expect(await state(made)).toMatch(/^overrun/);
});

test('a value nested beyond measure is refused alone', async () => {
  const made = await truck();
  // as text: nobody can print it back without going as deep
  const deep = `${'['.repeat(100_000)}${']'.repeat(100_000)}`;
  const text =
    `{"streams": [{"counter": "pto_hours", "epoch": 0, "firstSeq": 0, ` +
    `"at": [${startMs}, ${startMs}], "raw": [${deep}, 5]}]}`;
  const { status, body } = await made.gateway.client.post('/v1/readings', text);
  expect([status, body.streams[0]]).toMatchObject([200, { accepted: 1, contiguous: 1 }]);
});

test('numbers above what was sent are not lost', async () => {
  const made = await truck();
  await made.gateway.one(run(0, [startMs - hourMs, 0], [startMs, 1]));
  const lost = { firstSeq: 0, at: [], raw: [], lost: [[0, 9_007_199_254_740_991]] };
  expect(await made.gateway.one(lost)).toMatchObject({
    contiguous: 1,
    highest: 1,
    refused: [{ verdict: 'malformed', detail: expect.stringContaining('below') }],
  });
});
