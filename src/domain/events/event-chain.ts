import { createHash } from 'node:crypto';

/**
 * The hash chain of a fleet's history: every event's hash covers the one before, so that a line
 * that was changed, taken out or put in shows. SHA-256 over the canonical JSON of what is listed in
 * `ChainedEvent`, with keys in code-unit order, joined to the hash before it.
 */
export interface ChainedEvent {
  number: number;
  type: string;
  subject: string;
  data: unknown;
  /** Hex SHA-256 of salt and personal payload; null when there is none. */
  personalDigest: string | null;
  occurredAt: string;
  recordedAt: string;
}

export const firstHash: Buffer = Buffer.alloc(32);

/** JSON with keys in code-unit order at every level and no spaces. */
export function canonicalJson(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`;
  if (value !== null && typeof value === 'object') {
    const entries = Object.entries(value).filter(([, member]) => member !== undefined);
    entries.sort(([a], [b]) => (a < b ? -1 : 1));
    return `{${entries.map(([k, v]) => `${JSON.stringify(k)}:${canonicalJson(v)}`).join(',')}}`;
  }
  return JSON.stringify(value) ?? 'null';
}

export function eventHash(previous: Buffer, event: ChainedEvent): Buffer {
  return createHash('sha256').update(previous).update(canonicalJson(event)).digest();
}

/** What of a personal payload enters the chain; without the salt nobody can guess it back. */
export function personalDigest(salt: Buffer, personal: unknown): Buffer {
  return createHash('sha256').update(salt).update(canonicalJson(personal)).digest();
}

export type ChainFault = { number: number; fault: 'gap' | 'hash' };

/** Checks consecutive events against the hash before the first of them; null when all is well. */
export function checkChain(
  previous: { number: number; hash: Buffer },
  events: readonly (ChainedEvent & { hash: Buffer })[],
): ChainFault | null {
  let { number, hash } = previous;
  for (const { hash: stated, ...event } of events) {
    if (event.number !== number + 1) return { number: event.number, fault: 'gap' };
    if (!eventHash(hash, event).equals(stated)) return { number: event.number, fault: 'hash' };
    number = event.number;
    hash = stated;
  }
  return null;
}
