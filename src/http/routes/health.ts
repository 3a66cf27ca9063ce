import type { FastifyInstance } from 'fastify';
import type { FastifyZodOpenApiSchema } from 'fastify-zod-openapi';
import { z } from 'zod';
import { Problem } from '../../errors.ts';
import type { RouteDeps } from '../route-deps.ts';
import { refusals } from '../schemas/common.ts';

const health = z.object({ status: z.literal('ok'), version: z.string() }).meta({ id: 'Health' });

export async function healthRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  const answered = (description: string) => ({
    200: { description, content: { 'application/json': { schema: health } } },
    ...refusals(),
  });
  app.route({
    method: 'GET',
    url: '/healthz',
    schema: {
      tags: ['operation'],
      security: [],
      summary: 'Whether the process lives',
      response: answered('It does.'),
    } satisfies FastifyZodOpenApiSchema,
    handler: async () => ({ status: 'ok', version: deps.version }),
  });
  app.route({
    method: 'GET',
    url: '/readyz',
    schema: {
      tags: ['operation'],
      security: [],
      summary: 'Whether it can take requests: database reached, not stopping',
      response: answered('It can.'),
    } satisfies FastifyZodOpenApiSchema,
    handler: async () => {
      if (!(await deps.isReady())) {
        throw new Problem('not_ready', 'The service is starting, stopping, or has no database.', {
          retryAfterS: 2,
        });
      }
      return { status: 'ok', version: deps.version };
    },
  });
}
