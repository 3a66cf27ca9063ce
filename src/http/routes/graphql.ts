import type { FastifyInstance } from 'fastify';
import type { FastifyZodOpenApiSchema } from 'fastify-zod-openapi';
import type { z } from 'zod';
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
    summary: 'Ask the graph, or work on a card in it; see /docs/schema.graphql',
    description:
      'Queries, and one mutation at a time, signed as in REST, with the signature in a variable. ' +
      `Bounded: ${app.graphLimits}: each object and each alias of a value costs 1, ` +
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
      const question = {
        query,
        variables: variables ?? {},
        operationName: operationName ?? null,
      };
      const { refused, ...answer } = await app.askGraph(reply, question, deps, req.caller);
      const plain = wantsPlain(req.headers.accept);
      reply
        .code(refused && !plain ? 400 : 200)
        .type(`${plain ? 'application/json' : graphType}; charset=utf-8`);
      return answer;
    },
  });
}
