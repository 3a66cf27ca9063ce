import { PassThrough } from 'node:stream';
import { gzipSync } from 'node:zlib';
import { beforeAll, describe, expect, test } from 'vitest';
import { Problem } from '../../src/errors.ts';
import { linesOf as linesOfBody } from '../../src/http/lines.ts';
import { lineBounds } from '../../src/http/reading-lines.ts';
import { useApp } from '../helpers/app.ts';
import type { Answer, Json } from '../helpers/client.ts';
import { FleetBuilder, type Gateway, ptoCounter, startMs, tickMs } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(() => {
  fleet = new FleetBuilder(app);
});

const type = 'application/x-ndjson';
const firstMs = startMs - 80 * 86_400_000;

/** A line with readings of the hour counter, one tick each. */
const line = (firstSeq: number, length: number, raw = firstSeq) => {
  const seqs = Array.from({ length }, (_, i) => i);
  const at = seqs.map((i) => firstMs + (firstSeq + i) * tickMs);
  const values = seqs.map((i) => raw + i);
  return JSON.stringify({
    streams: [{ counter: 'pto_hours', epoch: 0, firstSeq, at, raw: values }],
  });
};

const post = (gateway: Gateway, body: string | Buffer, headers: Record<string, string> = {}) =>
  gateway.client.post('/v1/readings', body, { 'content-type': type, ...headers });

const linesOf = ({ body }: Answer): Json[] =>
  String(body)
    .trimEnd()
    .split('\n')
    .map((text) => JSON.parse(text));

const zipped = { 'content-encoding': 'gzip' };

describe('a backlog in lines', () => {
  test('each line is answered as a post of its own, in order', async () => {
    const { gateway, liftId } = await fleet.truck({ fromMs: firstMs });
    const body = [line(0, 500), line(500, 500), '', line(1_000, 20), '{"streams": []}'].join(
      '\r\n',
    );
    const answer = await post(gateway, body);
    expect([answer.status, answer.headers['content-type']]).toEqual([
      200,
      `${type}; charset=utf-8`,
    ]);
    expect(linesOf(answer)).toMatchObject([
      { line: 1, streams: [{ contiguous: 499, accepted: 500 }] },
      { line: 2, streams: [{ contiguous: 999, accepted: 500 }] },
      { line: 4, streams: [{ contiguous: 1_019, accepted: 20, missing: [] }] },
      { line: 5, streams: [] },
    ]);
    await app.settle();
    const { meters } = await fleet.client.read(`/v1/assets/${liftId}/usage`);
    expect(meters[0].totalGrains).toBe(1_019 * 180);
  });

  test('gzipped, and the same again: only duplicates', async () => {
    const gateway = await fleet.gateway(ptoCounter);
    const body = gzipSync(`${line(0, 100)}\n${line(100, 100)}\n`);
    const first = linesOf(await post(gateway, body, zipped));
    expect(first.map((each) => each.streams[0].accepted)).toEqual([100, 100]);
    const again = linesOf(await post(gateway, body, zipped));
    expect(again.map((each) => each.streams[0])).toMatchObject([
      { accepted: 0, duplicate: 100 },
      { accepted: 0, duplicate: 100, contiguous: 199 },
    ]);
  });

  test('a bad line harms no other, and says what was wrong', async () => {
    const gateway = await fleet.gateway(ptoCounter);
    const body = [line(0, 2), '{"streams": [', '[]', line(2, 2), 'null', line(4, 2)].join('\n');
    expect(linesOf(await post(gateway, body))).toMatchObject([
      { line: 1, streams: [{ contiguous: 1 }] },
      { line: 2, problem: { status: 400, code: 'body_unreadable' } },
      { line: 3, problem: { status: 400, code: 'body_invalid' } },
      { line: 4, streams: [{ contiguous: 3 }] },
      { line: 5, problem: { code: 'body_invalid' } },
      { line: 6, streams: [{ contiguous: 5 }] },
    ]);
  });

  test('a line over its bound of readings is refused, the others stand', async () => {
    const gateway = await fleet.gateway(ptoCounter);
    const five = JSON.parse(line(1_000, 4_999)).streams[0];
    const much = { streams: Array.from({ length: 5 }, () => five) };
    const body = [line(0, 1), JSON.stringify(much).replaceAll(' ', ''), line(1, 1)].join('\n');
    const answers = linesOf(await post(gateway, body));
    expect(answers).toMatchObject([
      { streams: [{ contiguous: 0 }] },
      { problem: { code: 'body_too_large' } },
      { streams: [{ contiguous: 1 }] },
    ]);
  });
});

describe('bounds', () => {
  test('a line without end: what came before is settled, and where to go on is said', async () => {
    const gateway = await fleet.gateway(ptoCounter);
    const body = `${line(0, 3)}\n${'x'.repeat(1_200_000)}\n${line(3, 3)}`;
    expect(linesOf(await post(gateway, body))).toMatchObject([
      { line: 1, streams: [{ contiguous: 2 }] },
      { line: 2, problem: { status: 413, code: 'body_too_large' }, notTakenFrom: 2 },
    ]);
    expect(await gateway.heartbeat()).toEqual([]);
  });

  test('a bomb is left unpacked after 64 MiB', async () => {
    const gateway = await fleet.gateway(ptoCounter);
    const bomb = gzipSync(`${line(0, 3)}\n${' \n'.repeat(45_000_000)}`);
    expect(bomb.length).toBeLessThan(200_000);
    expect(linesOf(await post(gateway, bomb, zipped))).toMatchObject([
      { line: 1 },
      { problem: { code: 'body_too_large' } },
    ]);
  });

  test('too many lines', async () => {
    const gateway = await fleet.gateway(ptoCounter);
    const body = `${line(0, 1)}\n${'\n'.repeat(6_000)}`;
    expect(linesOf(await post(gateway, body)).at(-1)).toMatchObject({
      problem: { code: 'body_too_large', detail: 'At most 5000 lines.' },
    });
  });

  test('over the bound as sent, known beforehand: nothing is taken', async () => {
    const gateway = await fleet.gateway(ptoCounter);
    const answer = await post(gateway, Buffer.alloc(17 * 1024 * 1024, 32));
    expect([answer.status, answer.code]).toEqual([413, 'body_too_large']);
  });

  test('damaged gzip, cut short or never gzip: what was whole is settled', async () => {
    const gateway = await fleet.gateway(ptoCounter);
    const lines = Array.from({ length: 400 }, (_, i) => line(i * 100, 100)).join('\n');
    const whole = gzipSync(lines);
    const answers = linesOf(await post(gateway, whole.subarray(0, whole.length - 5_000), zipped));
    expect(answers.length).toBeGreaterThan(1);
    expect(answers.at(-1)).toMatchObject({
      line: answers.length,
      problem: { code: 'body_unreadable' },
      notTakenFrom: answers.length,
    });
    const rest = lines
      .split('\n')
      .slice(answers.length - 1)
      .join('\n');
    const last = linesOf(await post(gateway, rest)).at(-1);
    expect(last.streams[0]).toMatchObject({ contiguous: 39_999, missing: [] });
    const never = await post(gateway, 'no gzip at all', zipped);
    expect([never.status, never.code]).toEqual([400, 'body_unreadable']);
  });

  test('what is answered: the rest is left for another request', async () => {
    const gateway = await fleet.gateway(ptoCounter);
    const streams = Array.from({ length: 60 }, (_, i) => ({ counter: `none_${i}` }));
    const body = Array.from({ length: 250 }, () => JSON.stringify({ streams })).join('\n');
    const answer = await post(gateway, body);
    const last = linesOf(answer).at(-1);
    expect(last).toMatchObject({ problem: { code: 'overloaded' }, notTakenFrom: last.line });
    expect(answer.body.length / 1_048_576).toBeCloseTo(2, 1);
    const rest = body.split('\n').slice(last.notTakenFrom - 1);
    expect(linesOf(await post(gateway, rest.join('\n')))).toHaveLength(rest.length);
  });

  test('nothing in it', async () => {
    const gateway = await fleet.gateway(ptoCounter);
    expect((await post(gateway, '\n\n')).code).toBe('body_unreadable');
    const wrong = { 'device-time': 'noon' };
    expect((await post(gateway, line(0, 1), wrong)).code).toBe('header_invalid');
    expect(
      (await fleet.client.post('/v1/readings', line(0, 1), { 'content-type': type })).code,
    ).toBe('role_not_allowed');
  });
});

test('the clock of the device goes on while its lines are settled', async () => {
  const gateway = await fleet.gateway(ptoCounter);
  const fast = startMs + 600_000;
  const at = [fast - 1_000];
  const body = JSON.stringify({
    streams: [{ counter: 'pto_hours', epoch: 0, firstSeq: 0, at, raw: [1] }],
  });
  const answer = await post(gateway, body, { 'device-time': String(fast) });
  expect(linesOf(answer)).toMatchObject([{ streams: [{ accepted: 1 }] }]);
  const facts = await fleet.events({
    subject: `gateway/${gateway.id}`,
    type: 'gateway.clock_fast',
  });
  await app.settle();
  const told = await fleet.events({ subject: `gateway/${gateway.id}`, type: 'gateway.clock_fast' });
  expect(told.length - facts.length).toBe(1);
  expect(told[0].data.offsetMs).toBe(600_000);
});

describe('a body that comes slowly', () => {
  const body = () => Object.assign(new PassThrough(), { headers: {} });
  const read = (from: PassThrough, gzip: boolean, signal: AbortSignal) =>
    linesOfBody(from as never, gzip, lineBounds, signal);

  test.each([false, true])('byte by byte, gzip %s', async (gzip) => {
    const texts = ['one', 'zwölf', 'x'.repeat(5_000)];
    const whole = Buffer.from(texts.join('\n'));
    const from = body();
    for (const byte of gzip ? gzipSync(whole) : whole) from.write(Buffer.of(byte));
    from.end();
    const seen: string[] = [];
    const { signal } = new AbortController();
    for await (const { text } of read(from, gzip, signal)) seen.push(text);
    expect(seen).toEqual(texts);
  });

  test('is left when there was time enough, in the middle of a line too', async () => {
    const from = body();
    const enough = new AbortController();
    const lines = read(from, false, enough.signal);
    from.write('one\ntw');
    expect((await lines.next()).value).toEqual({ number: 1, text: 'one' });
    const next = lines.next();
    enough.abort(new Problem('overloaded', 'Enough.'));
    await expect(next).rejects.toMatchObject({ code: 'overloaded' });
    // What still comes is thrown away, so that the client can end.
    const ended = new Promise((settle) => from.once('end', settle));
    from.end('o\nthree');
    await ended;
  });
});

test('one gateway sends sixteen backlogs at a time, and again when they are settled', async () => {
  const gateway = await fleet.gateway(ptoCounter);
  await post(gateway, line(0, 1));
  const body = Array.from({ length: 30 }, (_, i) => line(1 + i * 10, 10)).join('\n');
  const answers = await Promise.all(Array.from({ length: 18 }, () => post(gateway, body)));
  expect(answers.filter(({ status }) => status === 200)).toHaveLength(16);
  expect(answers.filter(({ status }) => status === 503)).toHaveLength(2);
  const refused = answers.find(({ status }) => status === 503);
  expect([refused?.code, refused?.headers['retry-after']]).toEqual(['overloaded', '5']);
  expect(linesOf(await post(gateway, body)).at(-1).streams[0]).toMatchObject({
    contiguous: 300,
    duplicate: 10,
  });
});
