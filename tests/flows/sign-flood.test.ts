import { expect, test } from 'vitest';
import { parsePinHash } from '../../src/domain/access/pin-hash.ts';
import { hashPin, isPin, withHashing } from '../../src/flows/pin-hash.ts';

const code = (promise: Promise<unknown>) =>
  promise.then(
    () => 'done',
    (error) => error.code,
  );

test('a hash is salted and costs what the cheat sheet of OWASP asks of scrypt', async () => {
  const [one, two] = [await hashPin('58203'), await hashPin('58203')];
  const { costLog2, blockSize, parallel, salt, hash } = parsePinHash(one);
  expect([costLog2, blockSize, parallel]).toEqual([15, 8, 3]);
  expect([salt.length, hash.length]).toEqual([16, 32]);
  expect(one).not.toBe(two);
  expect(await isPin('58203', one)).toBe(true);
  expect(await isPin('58204', one)).toBe(false);
}, 30_000);

test('for a person who is not there it takes as long, and nothing is right', async () => {
  const stored = await hashPin('58203', 12);
  const took = async (hash: string | null) => {
    const begun = performance.now();
    for (let i = 0; i < 12; i += 1) expect(await isPin('9205', hash, 12)).toBe(false);
    return performance.now() - begun;
  };
  await took(stored);
  const [there, nowhere] = [await took(stored), await took(null)];
  expect(nowhere / there).toBeGreaterThan(0.4);
  expect(nowhere / there).toBeLessThan(2.5);
});

test('a flood of one key is turned away at once, and leaves room for others', async () => {
  const one = () => withHashing('flood', () => isPin('9205', null, 14));
  const flood = Array.from({ length: 50 }, () => code(one()));
  const other = code(withHashing('other', () => isPin('9205', null, 14)));
  const answers = await Promise.all(flood);
  expect(answers.filter((each) => each === 'done')).toHaveLength(4);
  expect(answers.filter((each) => each === 'rate_limited')).toHaveLength(46);
  expect(await other).toBe('done');
  expect(await code(one())).toBe('done');
});

test('many keys at once are served up to a bound, the rest is told to come again', async () => {
  const keys = Array.from({ length: 40 }, (_, i) => `key ${i}`);
  const answers = await Promise.all(
    keys.map((key) => code(withHashing(key, () => isPin('9205', null, 10)))),
  );
  expect(answers.filter((each) => each === 'done')).toHaveLength(18);
  expect(answers.filter((each) => each === 'overloaded')).toHaveLength(22);
});

test('two hashes are made at a time, and one that fails gives its place back', async () => {
  await expect(isPin('9205', 'no hash', 10)).rejects.toThrow();
  const all = Array.from({ length: 8 }, () => isPin('9205', null, 10));
  expect(await Promise.all(all)).toEqual(Array(8).fill(false));
});
