/** How many shards wake-up calls are spread over. Changing it only moves work between shards. */
export const SHARDS = 64;

/**
 * The shard of one piece of work: the same (fleet, id) always gives the same number, in every
 * process and version, so that two calls for one unit meet in one job.
 *
 * 32-bit FNV-1a over the UTF-8 bytes of `<fleetId>/<id>`, then the 32-bit finalizer of MurmurHash3
 * (FNV alone spreads its low bits poorly over short, similar ids), then the lowest 6 bits.
 *
 * @param id a unit id, or a line id (a number and its decimal text give the same shard)
 * @returns an integer from 0 to 63
 */
export function shardOf(fleetId: number, id: string | number): number {
  let hash = 0x811c9dc5;
  for (const byte of new TextEncoder().encode(`${fleetId}/${id}`)) {
    hash = Math.imul(hash ^ byte, 0x01000193);
  }
  hash = Math.imul(hash ^ (hash >>> 16), 0x85ebca6b);
  hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35);
  return ((hash ^ (hash >>> 16)) >>> 0) % SHARDS;
}
