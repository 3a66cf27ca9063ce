import { describe, expect, test } from 'vitest';
import { Liftwright } from '../../openapi/client.ts';
import type { Answer, Call } from '../../openapi/http-client.ts';

/** A client whose calls are answered from a list, in order; null: no answer comes. */
function clientWith(answers: (Answer | null)[]): { client: Liftwright; calls: Call[] } {
  const calls: Call[] = [];
  const client = new Liftwright(async (call) => {
    calls.push(call);
    const answer = answers.shift() ?? null;
    if (answer === null) throw new Error('the connection was lost');
    return answer;
  }, 'a-key');
  return { client, calls };
}

const ok = (body: object): Answer => ({ status: 200, text: JSON.stringify(body), retryAfterS: 0 });
const refused = (status: number, code: string): Answer => ({
  status,
  text: JSON.stringify({ code, detail: 'because' }),
  retryAfterS: 0,
});

describe('the typed client', () => {
  test('tries again what may pass, with the same Idempotency-Key', async () => {
    const { client, calls } = clientWith([refused(503, 'overloaded'), null, ok({ yardId: 'y' })]);
    expect((await client.postYards({ name: 'North', timeZone: 'UTC' })).yardId).toBe('y');
    expect(calls).toHaveLength(3);
    expect(new Set(calls.map((call) => call.headers['idempotency-key'])).size).toBe(1);
    expect(calls[0]).toMatchObject({ method: 'POST', path: '/v1/yards' });
    expect(calls[0]?.headers.authorization).toBe('Bearer a-key');
  });

  test('tells a refusal at once, with its code', async () => {
    const { client, calls } = clientWith([refused(409, 'already_exists')]);
    const tried = client.postYards({ name: 'North', timeZone: 'UTC' });
    await expect(tried).rejects.toMatchObject({ status: 409, code: 'already_exists' });
    expect(calls).toHaveLength(1);
  });

  test('writes queries and takes another key for one call', async () => {
    const { client, calls } = clientWith([ok({ items: [] })]);
    await client.getBringIn({ limit: 5, status: 'overrun,unknown' }, { key: 'other' });
    expect(calls[0]?.path).toBe('/v1/bring-in?limit=5&status=overrun%2Cunknown');
    expect(calls[0]?.headers).toEqual({ authorization: 'Bearer other' });
  });

  test('hands on the ETag of what it read, and sends it with a change', async () => {
    const { client, calls } = clientWith([
      { ...ok({ name: 'North' }), etag: '"one"' },
      { ...ok({ name: 'South' }), etag: '"two"' },
      { ...refused(412, 'precondition_failed'), etag: '"three"' },
    ]);
    const seen: string[] = [];
    const onEtag = (etag: string) => seen.push(etag);
    await client.getYard('y', { onEtag });
    await client.patchYard('y', { name: 'South' }, { ifMatch: seen[0] as string, onEtag });
    expect(calls[1]?.headers['if-match']).toBe('"one"');
    expect(seen).toEqual(['"one"', '"two"']);
    const late = client.patchYard('y', { name: 'West' }, { ifMatch: '"one"' });
    await expect(late).rejects.toMatchObject({ code: 'precondition_failed', etag: '"three"' });
  });

  test('does not compile with what the contract has not', () => {
    const { client } = clientWith([]);
    // Never called: the type checker of the build fails when one of these is no error any more.
    const wrong = [
      // @ts-expect-error a yard has a time zone
      () => client.postYards({ name: 'North' }),
      // @ts-expect-error there is no such kind
      () => client.postAssets({ kind: 'boat', serial: '1' }),
      // @ts-expect-error a status is no number
      async () => (await client.getBringIn({})).items[0]?.status === 5,
    ];
    expect(wrong).toHaveLength(3);
  });
});
