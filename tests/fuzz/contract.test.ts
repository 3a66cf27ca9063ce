import { expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import { fuzzContract } from './contract-run.ts';

const app = useApp();

test('requests made from the contract are never answered with a fault of ours', async () => {
  const report = await fuzzContract(app, 1_500, 'quick');
  expect(report.failures.join('\n\n')).toBe('');
}, 120_000);
