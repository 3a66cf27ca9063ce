import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText } from '../../domain/instant.ts';
import { Problem } from '../../errors.ts';
import { publishPattern } from '../../flows/keep-fleet.ts';
import { findPattern, type LiftPatternRow, listPatterns } from '../../store/lift-pattern.ts';
import { getRoute, listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, intMost } from '../schemas/common.ts';
import { newPattern, pattern } from '../schemas/fleet.ts';

const show = (row: LiftPatternRow) => ({
  patternId: row.patternId,
  version: row.version,
  name: row.name,
  assetKind: row.assetKind,
  sha256: row.sha256.toString('hex'),
  createdAt: instantText(row.createdAtMs),
});

const documentLimit = 2 * 1024 * 1024;

export async function patternRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  postRoute(app, deps, {
    url: '/v1/patterns',
    tag: 'fleet',
    summary: 'Publish a lift pattern, or its next version',
    duty: 'keep_fleet',
    bodyLimit: documentLimit,
    body: newPattern,
    answer: pattern,
    run: async (work, { patternId = null, document }) => ({
      body: show(await publishPattern(work, { patternId, document })),
    }),
  });
  listRoute(app, deps, {
    url: '/v1/patterns',
    tag: 'fleet',
    summary: 'List the versions of lift patterns, without their documents',
    duty: 'read',
    item: pattern,
    key: ['id', 'number'] as const,
    keyOf: (row: LiftPatternRow) => [row.patternId, row.version],
    show,
    read: (tx, req, after, limit) => listPatterns(tx, req.caller.fleetId, after, limit),
  });
  getRoute(app, deps, {
    url: '/v1/patterns/:patternId',
    tag: 'fleet',
    summary: 'One version of a lift pattern with its document',
    duty: 'read',
    params: z.object({ patternId: id }),
    query: z.object({ version: z.coerce.number().int().min(1).max(intMost).optional() }),
    answer: pattern,
    read: async (tx, req) => {
      const { patternId } = req.params;
      const row = await findPattern(tx, req.caller.fleetId, patternId, req.query.version ?? null);
      if (!row) throw new Problem('not_found', 'There is no such pattern version.');
      return { ...show(row), document: row.document as Record<string, unknown> };
    },
  });
}
