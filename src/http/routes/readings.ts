import { pipeline } from 'node:stream';
import { createGunzip, type Gunzip } from 'node:zlib';
import type { FastifyInstance, FastifyRequest, preParsingHookHandler } from 'fastify';
import type { FastifyZodOpenApiSchema } from 'fastify-zod-openapi';
import { z } from 'zod';
import { parseInstant } from '../../domain/instant.ts';
import { intakeBounds } from '../../domain/usage/reading-intake.ts';
import { Problem } from '../../errors.ts';
import { recordReadings } from '../../flows/record-readings.ts';
import type { RouteDeps } from '../route-deps.ts';
import { refusals, security } from '../schemas/common.ts';
import { postedReadings, settledReadings } from '../schemas/reading.ts';

/** Room for the most readings that a post may hold. */
const bodyLimit = 1024 * 1024;

/** The device's clock when it sent this: epoch milliseconds, or RFC 3339. */
function deviceTimeMs(req: FastifyRequest): number | null {
  const header = req.headers['device-time'];
  if (header === undefined) return null;
  const text = String(header);
  const ms = /^\d{1,16}$/.test(text) ? Number(text) : parseInstant(text);
  if (ms === null || ms > intakeBounds.atMaxMs) {
    throw new Problem('header_invalid', 'Device-Time: epoch milliseconds, or RFC 3339.');
  }
  return ms;
}

/** Unpacks a gzipped body on its way to the parser, which bounds what comes out of it. */
const unpack: preParsingHookHandler = (req, _reply, payload, done) => {
  if (req.headers['content-encoding'] !== 'gzip') return done(null, payload);
  const unpacked = createGunzip() as Gunzip & { receivedEncodedLength: number };
  unpacked.receivedEncodedLength = 0;
  payload.on('data', (chunk: Buffer) => {
    unpacked.receivedEncodedLength += chunk.length;
  });
  // A client that goes away must not leave the parser waiting.
  pipeline(payload, unpacked, () => undefined);
  done(null, unpacked);
};

export async function readingRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  const schema = {
    tags: ['gateways'],
    summary: 'Post readings; an empty post is a heartbeat',
    description:
      'JSON, gzip accepted. Each stream is judged and answered on its own, in the order of the ' +
      'post. Keep a reading until it is settled: at or below `contiguous`. Send the lowest ' +
      'number of a stream first: the first number seen starts it.',
    security,
    headers: z.object({
      'device-time': z
        .string()
        .max(64)
        .optional()
        .meta({ description: "The device's clock at transmission: epoch ms, or RFC 3339." }),
    }),
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
