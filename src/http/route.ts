import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { FastifyZodOpenApiSchema } from 'fastify-zod-openapi';
import { z } from 'zod';
import { type KeyParts, type Kinds, page, parseCursor } from '../cursor.ts';
import type { Duty } from '../domain/access/role.ts';
import { Problem } from '../errors.ts';
import { checkSignature, type Signature, type SignNeed, signerOf } from '../flows/sign.ts';
import type { Work } from '../flows/work.ts';
import { withFleet } from '../store/pool.ts';
import type { Tx } from '../store/tx.ts';
import { etagHeaders, etagOf, ifMatchHeaders, ifNoneMatchHeaders } from './etag.ts';
import { type Answer, perform } from './perform.ts';
import type { RouteDeps } from './route-deps.ts';
import { idempotencyHeaders, pageOf, pageQuery, refusals, security } from './schemas/common.ts';

/** What every route says of itself in the contract. */
interface Described {
  url: string;
  tag: string;
  summary: string;
  description?: string;
  duty: Duty;
}

const noParams = z.object({});
type Params = z.ZodObject;

const answered = (description: string, schema: z.ZodType, tagged = false) => ({
  description,
  ...(tagged ? { headers: etagHeaders() } : {}),
  content: { 'application/json': { schema } },
});

/**
 * Checks the signature in a body, and answers the body as a receipt may know it: with the person in
 * the place of PIN or token. Null when nobody signed.
 */
async function checkSigned(deps: RouteDeps, req: FastifyRequest, { optional, fresh }: RouteSign) {
  const { signature, ...body } = req.body as { signature?: Signature };
  if (signature === undefined) {
    if (optional) return null;
    throw new Problem('signature_missing', 'Send who signs in `signature`.');
  }
  const checked = await checkSignature(deps, req.caller, signature, fresh);
  return { checked, known: { ...body, signature: checked.personId } };
}

/** What a route asks of the person who signs, in the field `signature` of its body. */
export interface RouteSign extends SignNeed {
  /** It may come without one; `run` says when. */
  optional?: true;
}

/** An unsafe request: one transaction, safe to repeat with an Idempotency-Key. */
export function postRoute<B extends z.ZodType, R extends z.ZodType, P extends Params, X>(
  app: FastifyInstance,
  deps: RouteDeps,
  route: Described & {
    params?: P;
    body: B;
    answer: R;
    status?: 200 | 201;
    /** A change of what there is answers 200. */
    method?: 'POST' | 'PATCH';
    bodyLimit?: number;
    /** It must come with If-Match; `run` checks it. */
    conditional?: boolean;
    /** The answer is what GET shows of the thing, and carries its ETag. */
    tagged?: boolean;
    /** Who must sign it; `run` finds the person with `signer(req)` of recorder.ts. */
    sign?: RouteSign;
    /** False: its body holds a secret, so it leaves no receipt and takes no Idempotency-Key. */
    receipt?: false;
    /** What takes long and needs no database; comes before the transaction. */
    before?(body: z.output<B>, req: FastifyRequest & { params: z.output<P> }): Promise<X>;
    run(
      work: Work,
      body: z.output<B>,
      req: FastifyRequest & { params: z.output<P> },
      before: X,
    ): Promise<Omit<Answer<z.output<R>>, 'status'>>;
    /** What is to be kept of a refusal, after everything that `run` did was rolled back. */
    refused?(
      problem: Problem,
      body: z.output<B>,
      req: FastifyRequest & { params: z.output<P> },
    ): Promise<void>;
  },
): void {
  const { url, tag, summary, duty, body, answer, method = 'POST', run } = route;
  const { status = method === 'POST' ? 201 : 200 } = route;
  const schema = {
    tags: [tag],
    summary,
    ...(route.description === undefined ? {} : { description: route.description }),
    security,
    headers: z.object({
      ...(route.receipt === false ? {} : idempotencyHeaders.shape),
      ...(route.conditional ? ifMatchHeaders.shape : {}),
    }),
    params: route.params ?? noParams,
    body,
    response: {
      [status]: answered(summary, answer, route.tagged),
      ...refusals(),
    },
  } satisfies FastifyZodOpenApiSchema;
  app.route({
    method,
    url,
    config: { duty },
    schema,
    ...(route.bodyLimit === undefined ? {} : { bodyLimit: route.bodyLimit }),
    handler: async (req, reply) => {
      const taken = req.body as z.output<B>;
      try {
        const signed = route.sign ? await checkSigned(deps, req, route.sign) : null;
        const before = (await route.before?.(taken, req as never)) as X;
        const act = async (work: Work) => {
          if (signed) {
            const { keyId } = req.caller;
            req.signer = await signerOf(work, keyId, signed.checked, route.sign?.need ?? null);
          }
          return { status, ...(await run(work, taken, req as never, before)) };
        };
        const same = route.receipt === false ? null : { body: signed?.known ?? taken };
        const answered = await perform(deps, req, reply, act, same);
        if (route.tagged) reply.header('etag', etagOf(answered));
        return answered;
      } catch (error) {
        if (error instanceof Problem) await route.refused?.(error, taken, req as never);
        throw error;
      }
    },
  });
}

/** A keyset-paged list. */
export function listRoute<
  Row,
  I extends z.ZodType,
  Q extends z.ZodObject,
  K extends Kinds,
  P extends Params,
>(
  app: FastifyInstance,
  deps: RouteDeps,
  route: Described & {
    params?: P;
    query?: Q;
    item: I;
    /** Kinds of the parts of the sort key. */
    key: K;
    keyOf(row: Row): (string | number)[];
    show(row: Row): z.output<I>;
    /** What must have happened before the transaction of `read` begins. */
    before?(req: FastifyRequest): Promise<unknown>;
    read(
      tx: Tx,
      req: FastifyRequest & { params: z.output<P>; query: z.output<Q> },
      after: KeyParts<K> | null,
      limit: number,
    ): Promise<Row[]>;
  },
): void {
  const { url, tag, summary, duty, item, key, keyOf, show, read } = route;
  const schema = {
    tags: [tag],
    summary,
    ...(route.description === undefined ? {} : { description: route.description }),
    security,
    params: route.params ?? noParams,
    querystring: route.query ? pageQuery.extend(route.query.shape) : pageQuery,
    response: {
      200: { description: summary, content: { 'application/json': { schema: pageOf(item) } } },
      ...refusals(),
    },
  } satisfies FastifyZodOpenApiSchema;
  app.route({
    method: 'GET',
    url,
    config: { duty },
    schema,
    handler: async (req) => {
      const { limit, cursor } = req.query as z.output<typeof pageQuery>;
      const after = parseCursor(cursor, key);
      const { fleetId } = req.caller;
      await route.before?.(req);
      const rows = await withFleet(deps.pools.app, [fleetId], (tx) =>
        read(tx, req as never, after, limit + 1),
      );
      return page(rows, limit, show, keyOf);
    },
  });
}

/** A single thing that is read. */
export function getRoute<R extends z.ZodType, P extends Params, Q extends z.ZodObject>(
  app: FastifyInstance,
  deps: RouteDeps,
  route: Described & {
    params?: P;
    query?: Q;
    answer: R;
    /** `read` gives the answer an ETag, or says that it is unchanged. */
    tagged?: boolean;
    /** What must have happened before the transaction of `read` begins. */
    before?(req: FastifyRequest): Promise<unknown>;
    read(
      tx: Tx,
      req: FastifyRequest & { params: z.output<P>; query: z.output<Q> },
      reply: FastifyReply,
    ): Promise<z.output<R>>;
  },
): void {
  const { url, tag, summary, duty, answer, read } = route;
  const schema = {
    tags: [tag],
    summary,
    ...(route.description === undefined ? {} : { description: route.description }),
    security,
    params: route.params ?? noParams,
    querystring: route.query ?? noParams,
    ...(route.tagged ? { headers: ifNoneMatchHeaders } : {}),
    response: {
      200: answered(summary, answer, route.tagged),
      ...(route.tagged ? { 304: { description: 'It is as `If-None-Match` says.' } } : {}),
      ...refusals(),
    },
  } satisfies FastifyZodOpenApiSchema;
  app.route({
    method: 'GET',
    url,
    config: { duty },
    schema,
    handler: async (req, reply) => {
      await route.before?.(req);
      return withFleet(deps.pools.app, [req.caller.fleetId], (tx) => read(tx, req as never, reply));
    },
  });
}
