import { expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import { fuzzBodies } from './bodies-run.ts';

const app = useApp();
const cases = Number(process.env.FUZZ_BODIES ?? 200_000);
const seed = process.env.FUZZ_SEED ?? 'long';

test(`${cases} broken bodies of a gateway beside two that are well`, async () => {
  const { failures, ...report } = await fuzzBodies(app, cases, seed);
  process.stdout.write(`${JSON.stringify({ seed, ...report }, null, 2)}\n`);
  expect(failures.join('\n\n')).toBe('');
}, 7_200_000);
