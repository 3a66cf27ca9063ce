import { createHash } from 'node:crypto';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { Problem } from '../errors.ts';

/** Objects with their keys in order: a body that was kept in the database comes back in another. */
function inOrder(_key: string, value: unknown): unknown {
  if (value === null || typeof value !== 'object' || Array.isArray(value)) return value;
  return Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)));
}

/** A strong entity tag (RFC 9110, 8.8.3) of what an answer shows. */
export function etagOf(representation: unknown): string {
  const digest = createHash('sha256').update(JSON.stringify(representation, inOrder) ?? '');
  return `"${digest.digest('base64url').slice(0, 27)}"`;
}

const tagList = /^(?:W\/)?"[\x21\x23-\x7e]*"(?:[ \t]*,[ \t]*(?:W\/)?"[\x21\x23-\x7e]*")*$/;
const tagsOf = (text: string): string[] => text.match(/(?:W\/)?"[^"]*"/g) ?? [];

export const ifMatchHeaders = z.object({
  'if-match': z
    .string()
    .max(1000)
    .optional()
    .meta({ description: 'The ETag of what is to be changed, as it was read. Must be there.' }),
});

export const ifNoneMatchHeaders = z.object({
  'if-none-match': z
    .string()
    .max(1000)
    .optional()
    .meta({ description: 'An ETag of before: when it is still that, the answer is a 304.' }),
});

/** What a tagged answer carries, for the contract; made anew for each route, like refusals. */
export const etagHeaders = () => ({
  etag: { type: 'string', maxLength: 100, description: 'Changes with what is answered.' },
});

/**
 * Says that nothing changed since the client last read: to `If-None-Match`, which compares weakly.
 * True when the answer is a 304.
 */
export function tellUnchanged(req: FastifyRequest, reply: FastifyReply, etag: string): boolean {
  reply.header('etag', etag).header('cache-control', 'private, no-cache');
  const known = String(req.headers['if-none-match'] ?? '').trim();
  const tags = tagsOf(known).map((tag) => tag.replace(/^W\//, ''));
  if (known !== '*' && !tags.includes(etag)) return false;
  reply.code(304);
  return true;
}

/**
 * What the client believes to change.
 *
 * @throws Problem precondition_missing, header_invalid
 */
export function readIfMatch(req: FastifyRequest): string[] | '*' {
  const text = req.headers['if-match']?.trim();
  if (text === undefined || text === '') {
    throw new Problem('precondition_missing', 'Read it first and send its ETag as If-Match.');
  }
  if (text === '*') return '*';
  if (!tagList.test(text)) throw new Problem('header_invalid', 'If-Match: an ETag in its quotes.');
  return tagsOf(text);
}

/** @throws Problem precondition_failed, with the tag that it has now; weak tags match nothing */
export function mustMatch(wanted: string[] | '*', etag: string): void {
  if (wanted === '*' || wanted.includes(etag)) return;
  throw new Problem(
    'precondition_failed',
    'Somebody changed it since. Read it anew, then decide.',
    {
      etag,
    },
  );
}
