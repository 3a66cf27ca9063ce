import { randomUUID } from 'node:crypto';
import type { Client } from './client.ts';
import type { Series } from './truth.ts';
import { counterPlans, firstReadingMs, makeSeries, randomFrom, timeZone } from './truth.ts';

export const adminKey = 'crash-tests-only-admin-key-000000000';

export interface Truck {
  number: string;
  unitId: string;
  assets: { lift: string; chassis: string };
  gatewayId: string;
  gatewayKey: string;
  series: Series[];
}

export interface Company {
  trucks: Truck[];
  /** How many things of each event type were brought in. */
  added: Map<string, number>;
}

const pattern = {
  name: 'Lift of the crash tests',
  assetKind: 'lift',
  servicePoints: [
    { key: 'pivot', kind: 'pin', name: 'Pivot', side: 'centre', place: 'Rear', serves: [] },
  ],
  tasks: [
    {
      key: 'grease_pivot',
      name: 'Grease the pivot',
      points: ['pivot'],
      every: { lift_cycles: 60, pto_hours: 40, days: 30 },
    },
  ],
};

/** Brings the company in over the API; a call that meets a crash is repeated until answered. */
export async function bringIn(
  client: Client,
  plan: { trucks: number; readings: number; nowMs: number; seed: number },
): Promise<Company> {
  const added = new Map<string, number>();
  const post = async <T>(
    path: string,
    body: unknown,
    event: string,
    key = adminKey,
  ): Promise<T> => {
    added.set(event, (added.get(event) ?? 0) + 1);
    const call = { key, body, idempotencyKey: randomUUID() };
    return (await client.call<T>('POST', path, call)).body;
  };
  const firstMs = firstReadingMs(plan.nowMs, plan.readings);
  const from = new Date(firstMs - 86_400_000).toISOString();
  const yard = { name: 'North yard', timeZone };
  const { yardId } = await post<{ yardId: string }>('/v1/yards', yard, 'yard.added');
  const { patternId } = await post<{ patternId: string }>(
    '/v1/patterns',
    { document: pattern },
    'pattern.published',
  );
  const trucks: Truck[] = [];
  for (let i = 0; i < plan.trucks; i += 1) {
    const number = String(11 + i);
    const random = randomFrom(plan.seed * 100 + i);
    const unit = { number, homeYardId: yardId };
    const { unitId } = await post<{ unitId: string }>('/v1/units', unit, 'unit.added');
    const assets = { lift: '', chassis: '' };
    for (const kind of ['lift', 'chassis'] as const) {
      const asset = {
        kind,
        serial: `${kind}-${number}`,
        ...(kind === 'lift' ? { patternId } : {}),
      };
      const { assetId } = await post<{ assetId: string }>('/v1/assets', asset, 'asset.added');
      assets[kind] = assetId;
      await post('/v1/installs', { unitId, assetId, from }, 'install.begun');
    }
    const gateway = await post<{ gatewayId: string; key: string | null }>(
      '/v1/gateways',
      { serial: `GW-${number}` },
      'gateway.added',
    );
    const { gatewayId } = gateway;
    const gatewayKey = gateway.key ?? (await anotherKey(client, gatewayId));
    await post('/v1/installs', { unitId, gatewayId, from }, 'install.begun');
    const counters = counterPlans.map(({ counter, meter, resolution, widthBits }) => ({
      counter,
      meter,
      resolution,
      widthBits,
    }));
    await post('/v1/gateways/me/counters', { counters }, 'none', gatewayKey);
    const series = counterPlans.map((p) => makeSeries(p, plan.readings, firstMs, random));
    trucks.push({ number, unitId, assets, gatewayId, gatewayKey, series });
  }
  added.delete('none');
  added.set('counter.declared', plan.trucks * counterPlans.length);
  return { trucks, added };
}

/** The first answer, the only one that shows the key, was lost in a crash. */
async function anotherKey(client: Client, gatewayId: string): Promise<string> {
  for (;;) {
    const call = { key: adminKey, body: {}, idempotencyKey: randomUUID() };
    const path = `/v1/gateways/${gatewayId}/keys`;
    const { body } = await client.call<{ key: string | null }>('POST', path, call);
    if (body.key !== null) return body.key;
  }
}
