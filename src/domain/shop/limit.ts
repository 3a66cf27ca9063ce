/**
 * What a unit may still do with a function that is limited. Numbers are at most; a flag that is
 * there must be kept. Several limits hold together: the strictest number, every flag, all words.
 */
export interface Limits {
  /** Kilograms on the lift. */
  loadKg?: number;
  /** Kilometres from the yard or per call. */
  distanceKm?: number;
  /** Kilometres an hour, loaded or not. */
  speedKmh?: number;
  /** Only to the shop or the yard, with nothing on. */
  toShopOnly?: true;
  /** Only with a second person there. */
  secondPerson?: true;
  /** Not in the dark. */
  daylightOnly?: true;
  /** Only to finish the load that is on. */
  presentLoadOnly?: true;
  /** Anything else, in words. */
  words?: string[];
}

const numbers = ['loadKg', 'distanceKm', 'speedKmh'] as const;
const flags = ['toShopOnly', 'secondPerson', 'daylightOnly', 'presentLoadOnly'] as const;

export const hasLimit = (limits: Limits): boolean => Object.keys(limits).length > 0;

/** All of them at once, in an order of its own, so that it does not matter who said it first. */
export function joinLimits(all: readonly Limits[]): Limits {
  const joined: Limits = {};
  for (const key of numbers) {
    const given = all.flatMap((limits) => limits[key] ?? []);
    if (given.length > 0) joined[key] = Math.min(...given);
  }
  for (const key of flags) if (all.some((limits) => limits[key])) joined[key] = true;
  const words = [...new Set(all.flatMap((limits) => limits.words ?? []))].sort();
  if (words.length > 0) joined.words = words;
  return joined;
}

/** 'at most 1500 kg on the lift; only with a second person'; empty when nothing is limited. */
export function limitsText(limits: Limits): string {
  const parts: string[] = [];
  if (limits.presentLoadOnly) parts.push('finish the drop, take no new call');
  if (limits.toShopOnly) parts.push('only to the shop, with nothing on');
  if (limits.loadKg !== undefined) parts.push(`at most ${limits.loadKg} kg on the lift`);
  if (limits.distanceKm !== undefined) parts.push(`at most ${limits.distanceKm} km`);
  if (limits.speedKmh !== undefined) parts.push(`at most ${limits.speedKmh} km/h`);
  if (limits.secondPerson) parts.push('only with a second person');
  if (limits.daylightOnly) parts.push('only in daylight');
  parts.push(...(limits.words ?? []));
  return parts.join('; ');
}
