import { expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';

const app = useApp();

test('alive and ready say so, without a key', async () => {
  const client = app.client(null);
  const ok = { status: 'ok', version: '1.2.3' };
  expect((await client.get('/healthz')).body).toEqual(ok);
  expect((await client.get('/readyz')).body).toEqual(ok);
});

test('stopping, it is not ready, closes connections, and still answers', async () => {
  app.stopping = true;
  const ready = await app.client(null).get('/readyz');
  expect([ready.status, ready.code]).toEqual([503, 'not_ready']);
  expect(Number(ready.headers['retry-after'])).toBeGreaterThan(0);
  expect(ready.headers.connection).toBe('close');
  expect((await app.client(null).get('/healthz')).status).toBe(200);
  const answer = await app.admin.get('/v1/units');
  expect([answer.status, answer.headers.connection]).toEqual([200, 'close']);
  app.stopping = false;
  expect((await app.client(null).get('/readyz')).status).toBe(200);
});
