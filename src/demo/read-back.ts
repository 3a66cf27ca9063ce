/** What the service says, read over the API. */
import type { ApiClient } from './api-client.ts';

export interface BringInUnit {
  readonly unitId: string;
  readonly number: string;
  readonly yardName: string | null;
  readonly status: 'ahead' | 'in_window' | 'overrun' | 'unknown';
  readonly rank: number;
  readonly pressOn: string | null;
  readonly reasons: readonly {
    readonly assetId: string;
    readonly task: string;
    readonly status: string;
    readonly text: string;
  }[];
  readonly moreReasons: number;
}

export interface ServiceEvent {
  readonly number: number;
  readonly type: string;
  readonly subject: string;
  readonly data: Readonly<Record<string, unknown>>;
  readonly personalDigest: string | null;
  readonly occurredAt: string;
  readonly recordedAt: string;
  readonly hash: string;
}

export interface Verdict {
  readonly counter: string;
  readonly seq: number;
  readonly lastSeq: number;
  readonly verdict: string;
  readonly reason: string;
  readonly at: string;
  readonly raw: number;
}

export interface GatewayVerdicts {
  readonly items: readonly Verdict[];
  readonly conflicts: readonly { readonly counter: string; readonly seq: number }[];
}

export interface MeterUse {
  readonly meter: string;
  readonly totalGrains: number;
  readonly days: readonly { readonly day: string; readonly grains: number }[];
}

const pagesMax = 2_000;

/** The whole list, page by page. */
export async function readBringIn(api: ApiClient, key: string): Promise<BringInUnit[]> {
  const units: BringInUnit[] = [];
  let query = '?limit=200';
  for (let page = 0; page < pagesMax; page += 1) {
    const path = `/v1/bring-in${query}`;
    const { items, next } = await api.get<{ items: BringInUnit[]; next?: string }>(path, key);
    units.push(...items);
    if (next === undefined) return units;
    query = `?limit=200&cursor=${encodeURIComponent(next)}`;
  }
  throw new RangeError('the bring-in list does not end');
}

/** All events, in order of their numbers. */
export async function readEvents(api: ApiClient, key: string): Promise<ServiceEvent[]> {
  const events: ServiceEvent[] = [];
  for (let page = 0; page < pagesMax; page += 1) {
    const after = events.at(-1)?.number ?? 0;
    const path = `/v1/events?after=${after}&limit=500`;
    const { items } = await api.get<{ items: ServiceEvent[] }>(path, key);
    if (items.length === 0) return events;
    events.push(...items);
  }
  throw new RangeError('the event history does not end');
}

export function readVerdicts(
  api: ApiClient,
  key: string,
  gatewayId: string,
): Promise<GatewayVerdicts> {
  return api.get<GatewayVerdicts>(`/v1/gateways/${gatewayId}/verdicts`, key);
}

/** Use of one meter of an asset; null when the service knows none. */
export async function readUse(
  api: ApiClient,
  key: string,
  assetId: string,
  meter: string,
  days: { readonly from: string; readonly to: string },
): Promise<MeterUse | null> {
  const path = `/v1/assets/${assetId}/usage?from=${days.from}&to=${days.to}&meter=${meter}`;
  const { meters } = await api.get<{ meters: MeterUse[] }>(path, key);
  return meters.find((each) => each.meter === meter) ?? null;
}
