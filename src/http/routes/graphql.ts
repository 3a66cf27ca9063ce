import type { FastifyInstance } from 'fastify';
import type { FastifyZodOpenApiSchema } from 'fastify-zod-openapi';
import type { z } from 'zod';
import { InTurn } from '../../store/in-turn.ts';
import { withFleet } from '../../store/pool.ts';
import type { RouteDeps } from '../route-deps.ts';
import { refusals, security } from '../schemas/common.ts';
import { graphAnswer, graphQuestion } from '../schemas/graphql.ts';

const bodyLimit = 128 * 1024;
const graphType = 'application/graphql-response+json';

/**
 * Who asks for plain JSON alone gets 200 with `errors` for a question that was refused, as GraphQL
 * over HTTP has it; everyone else the newer media type, and 400.
 */
const wantsPlain = (accept: string | undefined): boolean =>
  accept?.includes('application/json') === true && !accept.includes(graphType);

export async function graphqlRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  const schema = {
    tags: ['graphql'],
    summary: 'Ask the graph; see /docs/schema.graphql',
    description:
      `Queries only. Bounded: ${app.graphLimits}: each object and each alias of a value costs 1, ` +
      'inside a connection once for each asked with `first`.',
    security,
    body: graphQuestion,
    response: {
      200: {
        description: 'The answer; `errors` tells what could not be answered.',
        content: {
          [graphType]: { schema: graphAnswer },
          'application/json': { schema: graphAnswer },
        },
      },
      400: {
        description: 'The question is refused.',
        content: { [graphType]: { schema: graphAnswer } },
      },
      ...refusals(),
    },
  } satisfies FastifyZodOpenApiSchema;
  app.route({
    method: 'POST',
    url: '/graphql',
    config: { duty: 'read' },
    schema,
    bodyLimit,
    serializerCompiler: () => JSON.stringify,
    handler: async (req, reply) => {
      const { query, variables, operationName } = req.body as z.output<typeof graphQuestion>;
      const { fleetId, role } = req.caller;
      const nowMs = deps.clock.nowMs();
      const question = {
        query,
        variables: variables ?? {},
        operationName: operationName ?? null,
      };
      const { refused, ...answer } = await app.askGraph(reply, question, (run) =>
        withFleet(deps.pools.app, [fleetId], async (tx) => {
          const turn = new InTurn(tx);
          const context = { tx: turn.tx, fleetId, role, nowMs };
          const answered = await run(context).finally(() => turn.end());
          if (turn.failure !== null) throw turn.failure;
          return answered;
        }),
      );
      const plain = wantsPlain(req.headers.accept);
      reply
        .code(refused && !plain ? 400 : 200)
        .type(`${plain ? 'application/json' : graphType}; charset=utf-8`);
      return answer;
    },
  });
}
