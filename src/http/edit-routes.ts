import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { z } from 'zod';
import type { Duty } from '../domain/access/role.ts';
import type { Work } from '../flows/work.ts';
import type { Tx } from '../store/tx.ts';
import { etagOf, mustMatch, readIfMatch, tellUnchanged } from './etag.ts';
import { getRoute, postRoute } from './route.ts';
import type { RouteDeps } from './route-deps.ts';

type WithParams<P extends z.ZodObject> = FastifyRequest & { params: z.output<P> };

/**
 * One thing that people edit: GET answers it with an ETag, PATCH changes it when it is still what
 * If-Match says. That is checked under the lock and in the transaction of the change, so of two
 * people who read the same, one changes it and the other is told.
 */
export function editRoutes<B extends z.ZodType, R extends z.ZodType, P extends z.ZodObject>(
  app: FastifyInstance,
  deps: RouteDeps,
  route: {
    url: string;
    tag: string;
    get: { summary: string; duty: Duty };
    patch: { summary: string; duty: Duty };
    params: P;
    body: B;
    answer: R;
    /** What GET shows. @throws Problem not_found */
    read(tx: Tx, req: WithParams<P>): Promise<z.output<R>>;
    /** Keeps others from changing it until the transaction ends. */
    lock(tx: Tx, req: WithParams<P>): Promise<void>;
    change(work: Work, body: z.output<B>, req: WithParams<P>): Promise<unknown>;
  },
): void {
  const { url, tag, params, body, answer, read, lock, change } = route;
  getRoute(app, deps, {
    ...route.get,
    tagged: true,
    url,
    tag,
    params,
    answer,
    read: async (tx, req, reply) => {
      const shown = await read(tx, req as never);
      return tellUnchanged(req, reply, etagOf(shown)) ? (null as never) : shown;
    },
  });
  postRoute(app, deps, {
    ...route.patch,
    method: 'PATCH',
    conditional: true,
    tagged: true,
    url,
    tag,
    params,
    body,
    answer,
    run: async (work, given, req) => {
      const wanted = readIfMatch(req);
      await lock(work.tx, req as never);
      mustMatch(wanted, etagOf(await read(work.tx, req as never)));
      await change(work, given, req as never);
      return { body: await read(work.tx, req as never) };
    },
  });
}
