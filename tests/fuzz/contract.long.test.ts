import { expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import { fuzzContract } from './contract-run.ts';

const app = useApp();
const cases = Number(process.env.FUZZ_REQUESTS ?? 100_000);
const seed = process.env.FUZZ_SEED ?? 'long';

test(`${cases} requests made from the contract, of all roles, valid and not`, async () => {
  const { failures, ...report } = await fuzzContract(app, cases, seed);
  process.stdout.write(`${JSON.stringify({ seed, ...report }, null, 2)}\n`);
  expect(failures.join('\n\n')).toBe('');
  // What a token shown once confirms is not for fuzzing; all else must have succeeded, too.
  if (cases >= 20_000) expect(report.neverDone).toEqual(['POST /v1/fleet/deletion/confirm']);
}, 7_200_000);
