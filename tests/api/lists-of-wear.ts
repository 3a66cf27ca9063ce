import type { FleetBuilder, Signing, Truck } from '../helpers/fleet.ts';
import { dayMs, startMs, text } from '../helpers/fleet.ts';
import type { List } from './lists-of-the-shop.ts';

const pivot = { point: 'crossbar_pivot' };

/** The lists of what wears, and of the record, for lists.test.ts to walk. */
export function wearLists(
  fleet: () => FleetBuilder,
  truck: Partial<Truck>,
  homeYardId: () => string,
): Record<string, List> {
  let count = 0;
  const next = () => {
    count += 1;
    return count;
  };
  const post = (url: string, body: object) => fleet().client.made(url, body);
  /** A lift without a pattern, whose parts are whatever somebody says. */
  let worn = '';
  let lead: Signing | null = null;
  const wear = (id: string, kind: string, told: (at: string) => object): List => ({
    id: [id],
    url: () => `/v1/assets/${worn}/${kind}`,
    add: async () => {
      worn ||= await fleet().asset('lift');
      return post(`/v1/assets/${worn}/${kind}`, told(text(startMs - next() * 60_000)));
    },
    key: 'id',
  });
  const gauge = (at: string) => ({ ...pivot, at, gauge: 'go', measuredBy: 'A. Penn' });
  const measurements = wear('measurementId', 'measurements', gauge);
  /** Each day a period of its own. */
  const controlled = async () => {
    const url = `/v1/units/${truck.unitId}/control-periods`;
    const day = text(startMs + (next() * 2 - 900) * dayMs).slice(0, 10);
    const { periodId } = await post(url, { fromDay: day });
    return post(`${url}/${periodId}/end`, { day, reason: 'given back' });
  };
  const order = async () => {
    lead ??= await fleet().person(['lead']);
    return post('/v1/preservation-orders', { reason: 'a claim', signature: lead.signature });
  };
  const done = () =>
    fleet().done(truck.unitId as string, 'grease', startMs - 3 * dayMs - next() * 60_000);
  return {
    '/v1/assets/{assetId}/part-lives': wear('lifeId', 'part-lives', (fittedAt) => ({
      ...{ part: 'pad', points: [`pad_${next()}`], fittedAt, fittedBy: 'A. Penn' },
    })),
    '/v1/assets/{assetId}/measurements': measurements,
    '/v1/assets/{assetId}/take-ups': wear('takeUpId', 'take-ups', (at) => ({
      ...{ ...pivot, at, turns: 0.25, doneBy: 'A. Penn' },
    })),
    '/v1/assets/{assetId}/removal-checks': wear('checkId', 'removal-checks', (at) => ({
      ...{ ...pivot, at, look: { subject: 'hose' }, checkedBy: 'A. Penn' },
    })),
    '/v1/preservation-orders': { id: ['orderId'], key: 'id', add: order },
    '/v1/units/{unitId}/control-periods': {
      id: ['periodId'],
      url: () => `/v1/units/${truck.unitId}/control-periods`,
      key: 'id',
      add: controlled,
    },
    '/v1/retention': { id: ['unitId'], key: 'text', add: () => fleet().unit(homeYardId()) },
    '/v1/units/{unitId}/record/sections/{section}': {
      id: ['id'],
      url: () => `/v1/units/${truck.unitId}/record/sections/upkeep`,
      key: 'other',
      add: done,
    },
    '/v1/assets/{assetId}/record/sections/{section}': {
      id: ['id'],
      url: () => `/v1/assets/${worn}/record/sections/measurements`,
      key: 'other',
      add: measurements.add,
    },
  };
}
