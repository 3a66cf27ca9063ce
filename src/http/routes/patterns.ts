import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText } from '../../domain/instant.ts';
import { Problem } from '../../errors.ts';
import { publishPattern } from '../../flows/keep-fleet.ts';
import { mustFindAsset } from '../../flows/must-find.ts';
import { compareVersions } from '../../flows/pattern-versions.ts';
import {
  findPattern,
  type LiftPatternRow,
  listPatternMoves,
  listPatterns,
  type PatternMoveRow,
} from '../../store/lift-pattern.ts';
import { getRoute, listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id } from '../schemas/common.ts';
import {
  changesMost,
  newPattern,
  pattern,
  patternComparison,
  patternMove,
  patternVersion,
} from '../schemas/pattern.ts';

const show = (row: LiftPatternRow) => ({
  patternId: row.patternId,
  version: row.version,
  name: row.name,
  assetKind: row.assetKind,
  sha256: row.sha256.toString('hex'),
  createdAt: instantText(row.createdAtMs),
});

const showMove = (row: PatternMoveRow) => ({
  moveId: row.moveId,
  from:
    row.fromPatternId === null
      ? null
      : { patternId: row.fromPatternId, version: row.fromVersion as number },
  to: { patternId: row.patternId, version: row.version },
  movedAt: instantText(row.movedAtMs),
  by: row.recordedBy,
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
    query: z.object({ version: patternVersion.optional() }),
    answer: pattern,
    read: async (tx, req) => {
      const { patternId } = req.params;
      const row = await findPattern(tx, req.caller.fleetId, patternId, req.query.version ?? null);
      if (!row) throw new Problem('not_found', 'There is no such pattern version.');
      return { ...show(row), document: row.document as Record<string, unknown> };
    },
  });
  choiceRoutes(app, deps);
}

/** What helps to choose between versions, and what was chosen. */
function choiceRoutes(app: FastifyInstance, deps: RouteDeps): void {
  getRoute(app, deps, {
    url: '/v1/patterns/:patternId/compare',
    tag: 'fleet',
    summary: 'What is otherwise in another version of a lift pattern, in words',
    description:
      'For whoever decides whether an asset moves to it: service points, tasks, wear parts, ' +
      'needs and symptom rules that came, went or changed, in the order of `to`. `from` may be ' +
      'the later one.',
    duty: 'read',
    params: z.object({ patternId: id }),
    query: z.object({ from: patternVersion, to: patternVersion }),
    answer: patternComparison,
    read: async (tx, req) => {
      const { patternId } = req.params;
      const { from, to } = req.query;
      const changes = await compareVersions(tx, req.caller.fleetId, patternId, { from, to });
      const moreChanges = Math.max(0, changes.length - changesMost);
      return { patternId, from, to, changes: changes.slice(0, changesMost), moreChanges };
    },
  });
  listRoute(app, deps, {
    url: '/v1/assets/:assetId/pattern-moves',
    tag: 'fleet',
    summary: 'List how an asset moved from one pattern version to another, oldest first',
    description:
      'An asset follows the version that it was added with until somebody chooses another ' +
      '(PATCH of the asset). Every version stays readable.',
    duty: 'read',
    params: z.object({ assetId: id }),
    item: patternMove,
    key: ['id'] as const,
    keyOf: (row: PatternMoveRow) => [row.moveId],
    show: showMove,
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      const { assetId } = req.params;
      await mustFindAsset(tx, fleetId, assetId, deps.clock.nowMs());
      return listPatternMoves(tx, fleetId, assetId, after, limit);
    },
  });
}
