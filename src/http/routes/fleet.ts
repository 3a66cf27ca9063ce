import { Readable } from 'node:stream';
import { createGzip } from 'node:zlib';
import type { FastifyInstance } from 'fastify';
import type { FastifyZodOpenApiSchema } from 'fastify-zod-openapi';
import { z } from 'zod';
import { instantText } from '../../domain/instant.ts';
import { exportFleet } from '../../flows/export-fleet.ts';
import { askDeletion, confirmDeletion } from '../../flows/leave-fleet.ts';
import { postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { refusals, security } from '../schemas/common.ts';
import {
  deletionConfirmed,
  deletionQuestion,
  newConfirmation,
  newDeletion,
} from '../schemas/fleet-leaving.ts';

/** A large fleet over a slow line. */
const exportMostMs = 4 * 3_600_000;

/** Whether a gzip answer is welcome: named, and not with a weight of zero. */
const takesGzip = (accepted: string | undefined): boolean =>
  /(?:^|,)\s*(?:x-)?gzip\s*(?:;\s*q=(?!0(?:\.0*)?\s*(?:,|$))[\d.]+\s*)?(?:,|$)/i.test(
    accepted ?? '',
  );

function exportRoute(app: FastifyInstance, deps: RouteDeps): void {
  const summary = 'Take the whole fleet along, as lines of JSON';
  const schema = {
    tags: ['fleet'],
    summary,
    description:
      'The first line states the format and the number of rows of each table, each further line ' +
      'is a row, and the last is `{"end": true, "rows", "sha256"}` over all lines before: a file ' +
      'without it was cut off. Keys leave without their hashes.',
    security,
    response: {
      200: {
        description: summary,
        content: { 'application/x-ndjson': { schema: z.string() } },
      },
      ...refusals(),
    },
  } satisfies FastifyZodOpenApiSchema;
  app.route({
    method: 'GET',
    url: '/v1/export',
    config: { duty: 'take_fleet' },
    // A HEAD would run the whole export to throw it away.
    exposeHeadRoute: false,
    handlerTimeout: exportMostMs,
    schema,
    handler: async (req, reply) => {
      const lines = Readable.from(await exportFleet(deps, req.caller.fleetId), {
        objectMode: false,
      });
      reply
        .header('content-type', 'application/x-ndjson; charset=utf-8')
        .header('content-disposition', `attachment; filename="fleet-${req.caller.fleetId}.ndjson"`)
        .header('vary', 'accept-encoding')
        .header('cache-control', 'no-store');
      if (!takesGzip(req.headers['accept-encoding'])) return reply.send(lines);
      reply.header('content-encoding', 'gzip');
      const zipped = createGzip();
      lines.on('error', (error) => zipped.destroy(error));
      zipped.on('close', () => lines.destroy());
      return reply.send(lines.pipe(zipped));
    },
  });
}

export async function fleetRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  exportRoute(app, deps);
  postRoute(app, deps, {
    url: '/v1/fleet/deletion',
    tag: 'fleet',
    summary: 'Ask for the deletion of the whole fleet; nothing is deleted yet',
    duty: 'take_fleet',
    body: newDeletion,
    answer: deletionQuestion,
    run: async (work) => {
      const { tokenUntilMs, token, ...asked } = await askDeletion(work);
      const body = { ...asked, token: '', tokenUntil: instantText(tokenUntilMs) };
      return { body, once: { token } };
    },
  });
  postRoute(app, deps, {
    url: '/v1/fleet/deletion/confirm',
    tag: 'fleet',
    summary: 'Confirm the deletion: every key ends within five seconds, then everything is deleted',
    duty: 'take_fleet',
    body: newConfirmation,
    answer: deletionConfirmed,
    status: 200,
    run: async (work, body) => {
      const { confirmedAtMs, beginsAtMs } = await confirmDeletion(work, body);
      return {
        body: { confirmedAt: instantText(confirmedAtMs), beginsAt: instantText(beginsAtMs) },
      };
    },
  });
}
