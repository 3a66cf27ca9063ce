/** What the service says, read over the API. */
import type {
  AssetUsage,
  BringInUnit,
  Event,
  Liftwright,
  ReadingVerdicts,
} from '../../openapi/client.ts';

export type { BringInUnit, ReadingVerdict, ReadingVerdicts } from '../../openapi/client.ts';
export type ServiceEvent = Event;
export type MeterUse = AssetUsage['meters'][number];

const pagesMax = 2_000;

/** The whole list, page by page. */
export async function readBringIn(api: Liftwright, key: string): Promise<BringInUnit[]> {
  const units: BringInUnit[] = [];
  let cursor: string | undefined;
  for (let page = 0; page < pagesMax; page += 1) {
    const query = { limit: 200, ...(cursor === undefined ? {} : { cursor }) };
    const { items, next } = await api.getBringIn(query, { key });
    units.push(...items);
    if (next === undefined) return units;
    cursor = next;
  }
  throw new RangeError('the bring-in list does not end');
}

/** All events, in order of their numbers. */
export async function readEvents(api: Liftwright, key: string): Promise<ServiceEvent[]> {
  const events: ServiceEvent[] = [];
  for (let page = 0; page < pagesMax; page += 1) {
    const after = events.at(-1)?.number ?? 0;
    const { items } = await api.getEvents({ after, limit: 500 }, { key });
    if (items.length === 0) return events;
    events.push(...items);
  }
  throw new RangeError('the event history does not end');
}

export function readVerdicts(
  api: Liftwright,
  key: string,
  gatewayId: string,
): Promise<ReadingVerdicts> {
  return api.getGatewayVerdicts(gatewayId, { key });
}

/** Use of one meter of an asset; null when the service knows none. */
export async function readUse(
  api: Liftwright,
  key: string,
  assetId: string,
  meter: string,
  days: { readonly from: string; readonly to: string },
): Promise<MeterUse | null> {
  const { meters } = await api.getAssetUsage(assetId, { ...days, meter }, { key });
  return meters.find((each) => each.meter === meter) ?? null;
}
