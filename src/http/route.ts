import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { FastifyZodOpenApiSchema } from 'fastify-zod-openapi';
import { z } from 'zod';
import { type KeyParts, type Kinds, page, parseCursor } from '../cursor.ts';
import type { Duty } from '../domain/access/role.ts';
import { Problem } from '../errors.ts';
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

/** An unsafe request: one transaction, safe to repeat with an Idempotency-Key. */
export function postRoute<B extends z.ZodType, R extends z.ZodType, P extends Params>(
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
    run(
      work: Work,
      body: z.output<B>,
      req: FastifyRequest & { params: z.output<P> },
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
    headers: route.conditional
      ? idempotencyHeaders.extend(ifMatchHeaders.shape)
      : idempotencyHeaders,
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
        const answered = await perform(deps, req, reply, async (work) => ({
          status,
          ...(await run(work, taken, req as never)),
        }));
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
    handler: (req, reply) =>
      withFleet(deps.pools.app, [req.caller.fleetId], (tx) => read(tx, req as never, reply)),
  });
}
