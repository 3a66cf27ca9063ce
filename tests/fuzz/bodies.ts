import { gzipSync } from 'node:zlib';
import type { Random } from '../../src/demo/random.ts';
import { hourMs, startMs } from '../helpers/fleet.ts';
import { candump, ptoEngaged, vehicleHours } from '../helpers/frame.ts';
import { spoil } from './schema-values.ts';

export interface Post {
  url: string;
  headers: Record<string, string>;
  payload: Buffer;
}

const lines = 'application/x-ndjson';

/** A post of readings as a device would make it, though not always of counters that it has. */
function readings(random: Random): object {
  const streams = Array.from({ length: random.int(0, 3) }, () => {
    const length = random.int(0, 6);
    const firstMs = startMs - random.int(0, 300) * hourMs;
    const firstRaw = random.int(0, 2_000);
    return {
      counter: random.pick(['pto_hours', 'lifts', 'lifts', 'other']),
      epoch: random.pick([0, 0, 0, 1]),
      firstSeq: random.int(0, 400),
      at: Array.from({ length }, (_, i) => firstMs + i * 600_000),
      raw: Array.from({ length }, (_, i) => firstRaw + i),
      ...(random.chance(0.1) ? { lost: [[random.int(0, 9), random.int(0, 20)]] } : {}),
    };
  });
  return { streams };
}

/** Frames of a bus, in the order of their times. */
function frames(random: Random) {
  const firstMs = startMs - random.int(1, 300) * hourMs;
  return Array.from({ length: random.int(1, 8) }, (_, i) =>
    random.chance(0.7)
      ? vehicleHours(firstMs + i * 60_000, random.int(0, 3_000))
      : ptoEngaged(firstMs + i * 60_000, random.int(0, 3)),
  );
}

type Sound = { url: string; type: string; value?: unknown; text: string };

function sound(random: Random): Sound {
  if (random.chance(0.35)) {
    const heard = frames(random);
    if (random.chance(0.6)) return { url: '/v1/frames', type: 'text/plain', text: candump(heard) };
    const value = { frames: heard.map(({ atMs, id, data }) => ({ at: atMs, id, data })) };
    return { url: '/v1/frames', type: 'application/json', value, text: JSON.stringify(value) };
  }
  if (random.chance(0.3)) {
    const bodies = Array.from({ length: random.int(1, 4) }, () => JSON.stringify(readings(random)));
    return { url: '/v1/readings', type: lines, text: `${bodies.join('\n')}\n` };
  }
  const value = readings(random);
  return { url: '/v1/readings', type: 'application/json', value, text: JSON.stringify(value) };
}

const shreds = [
  '{',
  '}',
  '[',
  ']',
  '"',
  ',',
  ':',
  '\n',
  '\r\n',
  '\\u0000',
  '#',
  '(',
  'R',
  '-',
  '1e9',
];

/** Bytes with a few of them changed, taken out, put in, doubled, or cut off. */
export function breakBytes(bytes: Buffer, random: Random): Buffer {
  let broken: Buffer = Buffer.from(bytes);
  for (let times = random.int(1, 4); times > 0; times -= 1) {
    const at = random.int(0, broken.length);
    const [head, tail] = [broken.subarray(0, at), broken.subarray(at)];
    const way = random.int(0, 5);
    if (way === 0 && tail.length > 0) {
      broken = Buffer.from(broken);
      broken[at] = (broken[at] as number) ^ (1 << random.int(0, 7));
    } else if (way === 1) broken = Buffer.concat([head, tail.subarray(random.int(1, 9))]);
    else if (way === 2) {
      const odd = random.chance(0.5)
        ? Buffer.from(random.pick(shreds))
        : Buffer.from([random.int(0, 255), random.int(0, 255)]);
      broken = Buffer.concat([head, odd, tail]);
    } else if (way === 3) broken = Buffer.concat([head, tail.subarray(0, 40), tail]);
    else if (way === 4) broken = Buffer.from(head);
    else broken = Buffer.concat([head, tail, tail.subarray(0, 20)]);
  }
  return broken;
}

/** A number in the text made another one, as a device with a fault would send. */
function breakNumbers(text: string, random: Random): string {
  const odd = ['-1', '0', '1e999', '9007199254740993', '1.5', '00', '4294967295', 'NaN', '""'];
  const found = [...text.matchAll(/\d+/g)];
  if (found.length === 0) return text;
  const { index, 0: number } = random.pick(found);
  return text.slice(0, index) + random.pick(odd) + text.slice(index + number.length);
}

const bomb = gzipSync(Buffer.alloc(8 * 1024 * 1024));
const deviceTimes = ['', '0', '-1', '1795599400000', '99999999999999999', '2026-03-02', 'now'];
const types = [
  'application/json',
  lines,
  'text/plain',
  'application/json; charset=latin1',
  'x/y',
  '',
];

function packed(post: Post, random: Random): void {
  post.headers['content-encoding'] = 'gzip';
  let bytes: Buffer = gzipSync(post.payload);
  if (random.chance(0.3)) bytes = breakBytes(bytes, random);
  else if (random.chance(0.1)) bytes = gzipSync(bytes);
  else if (random.chance(0.03)) bytes = bomb;
  post.payload = random.chance(0.05) ? post.payload : bytes;
}

/** One post of a gateway that is out of its mind: mostly broken somewhere, at times quite sound. */
export function oddPost(random: Random): Post {
  const { url, type, value, text } = sound(random);
  let bytes: Buffer = Buffer.from(text);
  const way = random.int(0, 9);
  if (way <= 2) bytes = breakBytes(bytes, random);
  else if (way <= 4) bytes = Buffer.from(breakNumbers(text, random));
  else if (way <= 7 && value !== undefined)
    bytes = Buffer.from(JSON.stringify(spoil(value, random)));
  const post: Post = { url, headers: { 'content-type': type }, payload: bytes };
  if (random.chance(0.25)) packed(post, random);
  if (random.chance(0.05)) post.headers['content-type'] = random.pick(types);
  if (random.chance(0.02))
    post.headers['content-encoding'] = random.pick(['br', 'gzip, gzip', 'x']);
  if (random.chance(0.1)) post.headers['device-time'] = random.pick(deviceTimes);
  return post;
}
