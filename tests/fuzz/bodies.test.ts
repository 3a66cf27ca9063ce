import { expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import { fuzzBodies } from './bodies-run.ts';

const app = useApp();

test('a gateway that posts rubbish is refused, and its neighbours lose nothing', async () => {
  const report = await fuzzBodies(app, 2_000, 'quick');
  expect(report.failures.join('\n\n')).toBe('');
}, 120_000);
