import type { FastifyReply, FastifyRequest } from 'fastify';
import { crashPoint } from '../crash-points.ts';
import { Problem } from '../errors.ts';
import { doneOnce } from '../flows/receipt.ts';
import { type FlowDeps, type Work, withWork } from '../flows/work.ts';

/** The answer of an unsafe request. `once` is what only the first answer shows (a secret). */
export interface Answer<B> {
  status: number;
  body: B;
  once?: Partial<B>;
}

/** An answer whose effect is taken back: thrown in a transaction, it is rolled back and told. */
export class WithoutEffect<B> extends Error {
  readonly answer: Answer<B>;

  constructor(answer: Answer<B>) {
    super('taken back');
    this.answer = answer;
  }
}

/** The header is a structured-field string ("…"); a bare token is taken too. */
function idempotencyKey(req: FastifyRequest): string | null {
  const header = req.headers['idempotency-key'];
  if (header === undefined) return null;
  const match =
    /^"([\x20-\x21\x23-\x5b\x5d-\x7e]{1,200})"$|^([\x21\x23-\x5b\x5d-\x7e]{1,200})$/.exec(
      String(header),
    );
  if (!match)
    throw new Problem('header_invalid', 'Idempotency-Key: 1 to 200 printable characters.');
  return (match[1] ?? match[2]) as string;
}

/**
 * Runs an unsafe request in one transaction. With an Idempotency-Key its receipt is written in the
 * same transaction as its effect, so a crash leaves both or neither; a repeat gets the first answer
 * again, without what was shown once. Refusals are not kept: the transaction is rolled back.
 *
 * `same`: what makes it the same request besides its route; null: it leaves no receipt. A digest of
 * it is kept, from which few digits would be found by trying, so a PIN is never in it.
 */
export async function perform<B>(
  deps: FlowDeps,
  req: FastifyRequest,
  reply: FastifyReply,
  fn: (work: Work) => Promise<Answer<B>>,
  same: { body: unknown } | null = { body: req.body },
): Promise<B> {
  const { fleetId, keyId } = req.caller;
  const key = same === null ? null : idempotencyKey(req);
  let replayed = false;
  const answer = await withWork(deps, fleetId, async (work): Promise<Answer<B>> => {
    if (key === null) return fn(work);
    const route = `${req.method} ${req.url.split('?')[0]}`;
    const request = { client: keyId, key, route, same: same?.body };
    const { answer: first, replayed: again } = await doneOnce(work, request, () => fn(work));
    replayed = again;
    if (again) return first;
    crashPoint('request.before_commit');
    return first;
  }).catch((error: unknown): Answer<B> => {
    if (error instanceof WithoutEffect) return error.answer;
    throw error;
  });
  if (key !== null) crashPoint('request.after_commit');
  if (replayed) reply.header('idempotency-replayed', 'true');
  reply.code(answer.status);
  return { ...answer.body, ...answer.once };
}
