import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { FastifyZodOpenApiSchema } from 'fastify-zod-openapi';
import { recordReadings } from '../../flows/record-readings.ts';
import { deviceHeaders, deviceTimeMs, unpack } from '../device-post.ts';
import { Backlogs, lineBoundsInWords, settleLines, streamsOf } from '../reading-lines.ts';
import type { RouteDeps } from '../route-deps.ts';
import { refusals, security } from '../schemas/common.ts';
import { postedLines, postedReadings, settledLines, settledReadings } from '../schemas/reading.ts';

/** Room for the most readings that a post may hold. */
const bodyLimit = 1024 * 1024;

const linesType = 'application/x-ndjson';
const isLines = (req: FastifyRequest): boolean =>
  String(req.headers['content-type'] ?? '')
    .split(';')[0]
    ?.trim()
    .toLowerCase() === linesType;

export async function readingRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  // Nothing is read here: the handler reads line by line.
  app.addContentTypeParser(linesType, (_req, _payload, done) => done(null, null));
  const backlogs = new Backlogs();
  const schema = {
    tags: ['gateways'],
    summary: 'Post readings; an empty post is a heartbeat',
    description:
      'JSON, gzip accepted. Each stream is judged and answered on its own, in the order of the ' +
      'post. Keep a reading until it is settled: at or below `contiguous`. Send the lowest ' +
      'number of a stream first: the first number seen starts it. A long backlog goes as ' +
      `application/x-ndjson: one such body a line, ${lineBoundsInWords}; answered by line ` +
      'as {"line", "streams"} or {"line", "problem"}. When it ended early, the last line has ' +
      '`notTakenFrom`: send from that line on again.',
    security,
    headers: deviceHeaders(),
    body: {
      content: {
        'application/json': { schema: postedReadings },
        [linesType]: { schema: postedLines },
      },
    },
    response: {
      200: {
        description: 'What is settled now, per stream.',
        content: {
          'application/json': { schema: settledReadings },
          [linesType]: { schema: settledLines },
        },
      },
      ...refusals(),
    },
  } satisfies FastifyZodOpenApiSchema;
  app.route({
    method: 'POST',
    url: '/v1/readings',
    config: { duty: 'report_use', encodings: ['gzip'] },
    bodyLimit,
    // Lines are unpacked as they are read.
    preParsing: (req, reply, payload, done) =>
      isLines(req) ? done(null, payload) : unpack.call(app, req, reply, payload, done),
    schema,
    // The flow judges stream by stream; refusing the whole body for one bad stream would harm the
    // rest.
    validatorCompiler: () => (data) => ({ value: data }),
    serializerCompiler: () => JSON.stringify,
    handler: async (req, reply) => {
      if (isLines(req)) {
        const { gatewayId } = req.caller;
        const lines = await backlogs.admit(gatewayId as string, () => settleLines(deps, req));
        return reply
          .type(`${linesType}; charset=utf-8`)
          .serializer((text) => String(text))
          .send(lines);
      }
      const { fleetId, gatewayId } = req.caller;
      const streams = await recordReadings(deps, deps.directory, {
        fleetId,
        gatewayId: gatewayId as string,
        deviceTimeMs: deviceTimeMs(req),
        streams: streamsOf(req.body),
      });
      return { streams };
    },
  });
}
