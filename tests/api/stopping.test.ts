import { once } from 'node:events';
import { type AddressInfo, connect } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';
import { expect, test } from 'vitest';
import { useApp } from '../helpers/app.ts';
import { contractFaults } from '../helpers/contract.ts';

const app = useApp();

const yardsOf = (key: string | null) =>
  `GET /v1/yards HTTP/1.1\r\nhost: yard\r\nauthorization: Bearer ${key}\r\n\r\n`;

/** A connection, and the one answer on it once the service has closed it. */
async function open(port: number) {
  const socket = connect(port, '127.0.0.1');
  let text = '';
  socket.on('data', (chunk) => {
    text += chunk;
  });
  const closed = once(socket, 'close');
  await once(socket, 'connect');
  const answer = async () => {
    await closed;
    const [head = '', body = ''] = text.split('\r\n\r\n');
    const lines = head.split('\r\n').slice(1);
    const headers = lines.map((line) => line.split(': ') as [string, string]);
    return {
      status: Number(head.split(' ')[1]),
      headers: Object.fromEntries(headers.map(([name, value]) => [name.toLowerCase(), value])),
      body: JSON.parse(body),
    };
  };
  return { socket, answer };
}

async function waitUntil(holds: () => Promise<boolean>): Promise<void> {
  for (let tries = 0; tries < 500; tries += 1) {
    if (await holds()) return;
    await sleep(10);
  }
  throw new Error('It did not come about.');
}

test('closing, it finishes what was begun and says what comes after to come again', async () => {
  const service = await app.another();
  await service.listen({ port: 0, host: '127.0.0.1' });
  const { port } = service.server.address() as AddressInfo;
  const begun = await open(port);
  const late = await open(port);
  const request = yardsOf(app.admin.key);
  const { owner } = app.db;
  await owner.query('begin');
  await owner.query('lock table liftwright.yard');
  let closed: Promise<unknown>;
  try {
    begun.socket.write(request);
    late.socket.write(request.slice(0, 20));
    const blocked = 'select from pg_locks where not granted and relation = $1::regclass';
    await waitUntil(async () => (await owner.query(blocked, ['liftwright.yard'])).rowCount === 1);
    closed = service.close();
    await waitUntil(async () => !service.server.listening);
    late.socket.write(request.slice(20));
    const answer = await late.answer();
    expect(answer.status).toBe(503);
    expect(answer.headers).toMatchObject({ connection: 'close', 'retry-after': '5' });
    expect(answer.body).toMatchObject({ status: 503, code: 'stopping' });
    const type = answer.headers['content-type'] ?? '';
    const told = { status: answer.status, type, body: answer.body };
    expect(contractFaults('GET', '/v1/yards', told)).toEqual([]);
  } finally {
    await owner.query('rollback');
  }
  const answer = await begun.answer();
  expect([answer.status, answer.body.items]).toEqual([200, []]);
  await closed;
});
