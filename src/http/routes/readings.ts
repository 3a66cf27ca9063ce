import type { FastifyInstance } from 'fastify';
import type { FastifyZodOpenApiSchema } from 'fastify-zod-openapi';
import { Problem } from '../../errors.ts';
import { recordReadings } from '../../flows/record-readings.ts';
import { deviceHeaders, deviceTimeMs, unpack } from '../device-post.ts';
import type { RouteDeps } from '../route-deps.ts';
import { refusals, security } from '../schemas/common.ts';
import { postedReadings, settledReadings } from '../schemas/reading.ts';

/** Room for the most readings that a post may hold. */
const bodyLimit = 1024 * 1024;

export async function readingRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  const schema = {
    tags: ['gateways'],
    summary: 'Post readings; an empty post is a heartbeat',
    description:
      'JSON, gzip accepted. Each stream is judged and answered on its own, in the order of the ' +
      'post. Keep a reading until it is settled: at or below `contiguous`. Send the lowest ' +
      'number of a stream first: the first number seen starts it.',
    security,
    headers: deviceHeaders(),
    body: postedReadings,
    response: {
      200: {
        description: 'What is settled now, per stream.',
        content: { 'application/json': { schema: settledReadings } },
      },
      ...refusals(),
    },
  } satisfies FastifyZodOpenApiSchema;
  app.route({
    method: 'POST',
    url: '/v1/readings',
    config: { duty: 'report_use', encodings: ['gzip'] },
    bodyLimit,
    preParsing: unpack,
    schema,
    // The flow judges stream by stream; refusing the whole body for one bad stream would harm the
    // rest.
    validatorCompiler: () => (data) => ({ value: data }),
    serializerCompiler: () => JSON.stringify,
    handler: async (req) => {
      const body = req.body as { streams?: unknown } | null;
      if (typeof body !== 'object' || body === null || !Array.isArray(body.streams)) {
        throw new Problem('body_invalid', 'The body must be {"streams": [...]}.', {
          errors: [{ path: '/streams', reason: 'must be an array' }],
        });
      }
      const { fleetId, gatewayId } = req.caller;
      const streams = await recordReadings(deps, deps.directory, {
        fleetId,
        gatewayId: gatewayId as string,
        deviceTimeMs: deviceTimeMs(req),
        streams: body.streams,
      });
      return { streams };
    },
  });
}
