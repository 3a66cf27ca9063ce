import fc from 'fast-check';
import { beforeAll, expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import { FleetBuilder, hourMs, ptoCounter, startMs } from '../helpers/fleet.ts';
import { postFrames, vehicleHours, type WrittenFrame } from '../helpers/frame.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});

const counter = { ...ptoCounter, counter: 'bus_pto', basis: 'j1939_248' };

async function useOf(assetId: string): Promise<number> {
  await app.settle();
  const days = await fleet.days(assetId);
  return Object.values(days).reduce((sum, grains) => sum + grains, 0);
}

/** Frames as they were sent, one every ten seconds for hours, with the counter now on, now off. */
const drive = fc
  .array(fc.record({ minutes: fc.integer({ min: 1, max: 90 }), counts: fc.boolean() }), {
    minLength: 1,
    maxLength: 6,
  })
  .map((stretches) => {
    const frames: WrittenFrame[] = [];
    let engagedMs = 0;
    let atMs = startMs - 12 * hourMs;
    for (const { minutes, counts } of stretches) {
      for (let step = 0; step < minutes * 6; step += 1) {
        frames.push(vehicleHours(atMs, 700 + Math.floor(engagedMs / 180_000)));
        atMs += 10_000;
        if (counts) engagedMs += 10_000;
      }
    }
    return frames;
  });

const deliveries = drive.chain((frames) => {
  const cuts = fc.array(fc.nat(frames.length), { maxLength: 6 });
  return cuts.chain((places) => {
    const edges = [0, ...places.toSorted((a, b) => a - b), frames.length];
    const posts = edges
      .slice(1)
      .map((to, i) => frames.slice(Math.max(0, (edges[i] as number) - 5), to));
    const order = fc.shuffledSubarray([...posts, ...posts], { minLength: posts.length * 2 });
    return fc.tuple(fc.constant(frames), order);
  });
});

test('frames come to the same use, in whatever order, however often and however cut', async () => {
  await fc.assert(
    fc.asyncProperty(deliveries, async ([frames, posts]) => {
      const { gateway, liftId } = await fleet.truck({ counters: [counter] });
      for (const post of posts) await postFrames(gateway.client, post);
      const raw = (frame: WrittenFrame) => Buffer.from(frame.data.slice(8), 'hex').readUInt32LE();
      const [first, last] = [frames[0], frames.at(-1)] as [WrittenFrame, WrittenFrame];
      expect(await useOf(liftId)).toBe((raw(last) - raw(first)) * 180);
      const again = await postFrames(gateway.client, frames);
      expect(again.counters[0]).toMatchObject({ accepted: 0, unchanged: 0, late: 0 });
    }),
    { numRuns: 12 },
  );
});

test('any bytes as text and any JSON are answered, never as a fault of ours', async () => {
  const { gateway } = await fleet.truck({ counters: [counter] });
  const send = async (body: unknown, type: string) => {
    const headers = { 'content-type': type };
    const { status } = await gateway.client.call({
      method: 'POST',
      url: '/v1/frames',
      body,
      headers,
    });
    expect([200, 400]).toContain(status);
  };
  const octets = fc.uint8Array({ maxLength: 200 });
  await fc.assert(
    fc.asyncProperty(octets, (bytes) => send(Buffer.from(bytes), 'text/plain')),
    { numRuns: 60 },
  );
  const members = fc.array(fc.oneof(fc.jsonValue(), fc.record({ at: fc.nat(), id: fc.string() })));
  await fc.assert(
    fc.asyncProperty(members, (frames) => send({ frames }, 'application/json')),
    { numRuns: 60 },
  );
});
