import { adminKey } from './process.ts';

export async function call<T>(
  url: string,
  path: string,
  body: unknown,
  key = adminKey,
): Promise<T> {
  const answer = await fetch(`${url}${path}`, {
    method: 'POST',
    headers: { authorization: `Bearer ${key}`, 'content-type': 'application/json' },
    body: JSON.stringify(body),
  });
  if (!answer.ok) throw new Error(`${path}: ${answer.status} ${await answer.text()}`);
  return (await answer.json()) as T;
}

/** Makes `count` things, `width` at a time. */
export async function inParallel<T>(
  width: number,
  count: number,
  make: (i: number) => Promise<T>,
): Promise<T[]> {
  const made: T[] = [];
  let next = 0;
  const lane = async () => {
    while (next < count) {
      const i = next++;
      made[i] = await make(i);
    }
  };
  await Promise.all(Array.from({ length: width }, lane));
  return made;
}

/** Gateways with one hour counter each, on units with a lift. */
export async function makeGateways(
  url: string,
  count: number,
  label: string,
  from = '2020-01-01T00:00:00Z',
): Promise<{ gatewayId: string; key: string }[]> {
  const yard = await call<{ yardId: string }>(url, '/v1/yards', {
    name: `Bench ${label}`,
    timeZone: 'America/Chicago',
  });
  const made: { gatewayId: string; key: string }[] = [];
  for (let i = 0; i < count; i++) {
    const name = `${label}-${i}`;
    const unit = await call<{ unitId: string }>(url, '/v1/units', {
      number: name,
      homeYardId: yard.yardId,
    });
    const lift = await call<{ assetId: string }>(url, '/v1/assets', { kind: 'lift', serial: name });
    const gateway = await call<{ gatewayId: string; key: string }>(url, '/v1/gateways', {
      serial: name,
    });
    await call(url, '/v1/installs', { unitId: unit.unitId, assetId: lift.assetId, from });
    await call(url, '/v1/installs', { unitId: unit.unitId, gatewayId: gateway.gatewayId, from });
    await call(url, `/v1/gateways/${gateway.gatewayId}/counters`, {
      counters: [{ counter: 'pto_hours', meter: 'pto_hours', resolution: 0.05 }],
    });
    made.push(gateway);
  }
  return made;
}
