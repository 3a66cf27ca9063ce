import type { FastifyInstance } from 'fastify';
import type { FastifyZodOpenApiSchema } from 'fastify-zod-openapi';
import { instantTextOrNull } from '../../domain/instant.ts';
import { type ReadFrames, readCandump, readFrameList } from '../../domain/usage/candump.ts';
import { Problem } from '../../errors.ts';
import { type FramesAnswer, recordFrames } from '../../flows/record-frames.ts';
import { deviceHeaders, deviceTimeMs, unpack } from '../device-post.ts';
import type { RouteDeps } from '../route-deps.ts';
import { refusals, security } from '../schemas/common.ts';
import {
  framesBytesMost as bodyLimit,
  candumpText,
  postedFrames,
  takenFrames,
} from '../schemas/frame.ts';

function readBody(body: unknown): ReadFrames {
  if (typeof body === 'string') return readCandump(body);
  const { frames } = (typeof body === 'object' && body !== null ? body : {}) as {
    frames?: unknown;
  };
  if (Array.isArray(frames)) return readFrameList(frames);
  throw new Problem('body_invalid', 'The body must be {"frames": [...]}, or text of candump.', {
    errors: [{ path: '/frames', reason: 'must be an array' }],
  });
}

const show = ({ counters, ...answer }: FramesAnswer) => ({
  ...answer,
  counters: counters.map(({ knownUntilMs, ...counter }) => ({
    ...counter,
    knownUntil: instantTextOrNull(knownUntilMs),
  })),
});

export async function frameRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  app.addContentTypeParser('text/plain', { parseAs: 'string', bodyLimit }, (_req, body, done) =>
    done(null, body),
  );
  const schema = {
    tags: ['gateways'],
    summary: 'Post J1939 frames; the server makes readings of the declared counters',
    description:
      'For loggers that keep nothing themselves: text of `candump -L`, or JSON; gzip accepted. ' +
      'Frames of counters whose basis is of J1939 (`j1939_248`, `derived_j1939_3948` …) become ' +
      'readings that are numbered here. The same frames again change nothing. Lines that are no ' +
      'frames are counted and the first are named; only a text without any frame is refused.',
    security,
    headers: deviceHeaders(),
    body: {
      content: {
        'application/json': { schema: postedFrames },
        'text/plain': { schema: candumpText },
      },
    },
    response: {
      200: {
        description: 'What became of the frames, per counter.',
        content: { 'application/json': { schema: takenFrames } },
      },
      ...refusals(),
    },
  } satisfies FastifyZodOpenApiSchema;
  app.route({
    method: 'POST',
    url: '/v1/frames',
    config: { duty: 'report_use', encodings: ['gzip'] },
    bodyLimit,
    preParsing: unpack,
    schema,
    // The flow judges line by line; refusing the whole post for one bad line would lose the rest.
    validatorCompiler: () => (data) => ({ value: data }),
    serializerCompiler: () => JSON.stringify,
    handler: async (req) => {
      const { fleetId, gatewayId } = req.caller;
      const post = { fleetId, gatewayId: gatewayId as string, deviceTimeMs: deviceTimeMs(req) };
      return show(await recordFrames(deps, { ...post, read: readBody(req.body) }));
    },
  });
}
