import { beforeAll, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import type { Json } from '../helpers/client.ts';
import { hourMs, patternOf, startMs, type Truck, text } from '../helpers/fleet.ts';
import { Shop } from '../helpers/job-card.ts';

const app = useApp();
let shop: Shop;
let truck: Truck;
let patternId: string;

const pad = {
  ...{ key: 'pad', kind: 'wear_surface', name: 'Lower pad', side: 'left', place: 'In the boom' },
  ...{ serves: ['wheel_lift'], liftCritical: true },
};
const document = {
  ...patternOf({ key: 'pads', name: 'Measure the pad', points: ['pad'], every: { days: 30 } }),
  servicePoints: [pad],
  wearParts: [
    {
      ...{ key: 'pad', name: 'Pad', points: ['pad'], meters: ['reach_cycles'], unit: 'mm' },
      ...{ nominal: 12, limit: 8 },
    },
  ],
};

beforeAll(async () => {
  shop = new Shop(app);
  await shop.open();
  patternId = (await shop.client.made('/v1/patterns', { document })).patternId;
  truck = await shop.fleet.truck({ patternId, counters: [] });
});

const measuringCard = async (on = truck) => {
  const card = await shop.write(['pads'], {}, on);
  await shop.did(card, 'begin', shop.ann);
  return card;
};
const measureStep = (card: Json) => card.steps.find((s: Json) => s.work === 'measure');
const measured = (on = truck) => shop.client.all(`/v1/assets/${on.liftId}/measurements`);
const reading = (value: number) => ({ measurement: { part: 'pad', value, unit: 'mm' } });

test('a reading of a step is a measurement, once, and the next card shows it', async () => {
  const card = await measuringCard();
  const step = measureStep(card);
  expect(step).toMatchObject({
    wearParts: [{ key: 'pad', nominal: 12, limit: 8, unit: 'mm' }],
    lastReadings: [],
  });
  const command = shop.command(step, 'done', { ...reading(11.2), tap: 'measured' });
  expect(await shop.tell(card, shop.ann, command)).toEqual(['taken']);
  expect(await shop.tell(card, shop.ann, command)).toEqual(['duplicate']);
  expect(await measured()).toMatchObject([{ stepId: step.stepId, value: 11.2, unit: 'mm' }]);
  app.clock.set(startMs + hourMs);
  const next = measureStep(await shop.write(['pads'], {}, truck));
  expect(next.lastReadings).toEqual([
    { part: 'pad', value: 11.2, unit: 'mm', gauge: null, at: text(startMs) },
  ]);
  app.clock.set(startMs);
});

test('past its limit it is a finding at once, and stops what hangs on it', async () => {
  const other = await shop.fleet.truck({ patternId, counters: [] });
  const card = await measuringCard(other);
  const { verdicts } = await shop.did(card, 'commands', shop.ann, {
    commands: [shop.command(measureStep(card), 'done', reading(7.5))],
  });
  expect(verdicts[0].verdict).toBe('taken');
  expect(verdicts[0].findingId).not.toBeNull();
  const kinds = (await shop.stops(other)).map(({ kind }) => kind);
  expect(kinds).toEqual(['work_lock', 'defect']);
});

test('a reading that cannot be kept does not keep the step from being told', async () => {
  const other = await shop.fleet.truck({ patternId, counters: [] });
  const card = await measuringCard(other);
  const renamed = {
    ...document,
    servicePoints: [{ ...pad, key: 'block' }],
    tasks: [],
    wearParts: [],
  };
  const { version } = await shop.client.made('/v1/patterns', { patternId, document: renamed });
  const moved = { patternId, patternVersion: version };
  expect((await shop.client.patch(`/v1/assets/${other.liftId}`, moved)).status).toBe(200);
  const step = measureStep(card);
  const { verdicts } = await shop.did(card, 'commands', shop.ann, {
    commands: [shop.command(step, 'done', reading(11))],
  });
  expect(verdicts[0]).toMatchObject({ verdict: 'taken', findingId: null });
  expect(verdicts[0].detail).not.toBeNull();
  expect(await measured(other)).toEqual([]);
  const { said } = (await shop.read(card.cardId)).steps.find(
    (each: Json) => each.stepId === step.stepId,
  );
  expect(said[0].measurement).toMatchObject({ part: 'pad', thousandths: 11_000 });
});

test('nothing is measured in a step over the whole', async () => {
  const card = await measuringCard();
  const command = shop.command(card.steps[0], 'done', { measurement: { gauge: 'go' } });
  const { verdicts } = await shop.did(card, 'commands', shop.ann, { commands: [command] });
  expect(verdicts[0].detail).toMatch(/over the whole/);
});
