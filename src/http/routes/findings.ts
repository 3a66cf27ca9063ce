import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { builtInMeter, parseGrains } from '../../domain/usage/meter.ts';
import { Problem } from '../../errors.ts';
import { mustFindUnit } from '../../flows/must-find.ts';
import { mustBeOnUnit } from '../../flows/place-stop.ts';
import { closeFinding, mustBeFindingOf, recordFinding } from '../../flows/record-finding.ts';
import { showFinding, showFindingReport, showStop } from '../../flows/show-stop.ts';
import {
  type FindingReportRow,
  type FindingRow,
  listFindingReports,
  listFindings,
} from '../../store/finding.ts';
import { actor, signer } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id } from '../schemas/common.ts';
import * as s from '../schemas/stop.ts';

const tag = 'readiness';
const ofUnit = z.object({ unitId: id });

/** Grains by meter, from amounts in its unit. @throws Problem meter_unknown */
function toGrains(use: Readonly<Record<string, number>>): Record<string, number> {
  const grains: Record<string, number> = {};
  for (const [meter, amount] of Object.entries(use)) {
    const known = builtInMeter(meter);
    if (!known) throw new Problem('meter_unknown', `There is no meter "${meter.slice(0, 40)}".`);
    grains[meter] = parseGrains(amount, known.dimension);
  }
  return grains;
}

function recordingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/units/:unitId/findings',
    tag,
    summary: 'Record how a place was found; unfit stops what it serves, at once',
    description:
      'The same fault told again, at the same point or part, joins the open finding; the worse ' +
      'grade stands. It may come unsigned, because nothing must keep anybody from telling a fault.',
    duty: 'report_fault',
    params: ofUnit,
    body: s.newFinding,
    answer: s.recordedFinding,
    sign: { need: null, optional: true },
    run: async (work, body, req) => {
      const { unitId } = req.params;
      const assetId = body.assetId ?? null;
      await mustBeOnUnit(work, unitId, assetId);
      const { finding, stop, joined } = await recordFinding(work, actor(req), {
        unitId,
        assetId,
        pointKey: body.point ?? null,
        part: body.part ?? null,
        grade: body.grade,
        words: body.words,
        mendByDay: body.mendByDay ?? null,
        mendByUse: toGrains(body.mendByUse),
        source: { kind: 'person', id: null },
      });
      const shownStop = stop && showStop(stop, work.nowMs);
      return { body: { finding: showFinding(finding), stop: shownStop, joined } };
    },
  });
  listRoute(app, deps, {
    url: '/v1/units/:unitId/findings',
    tag,
    summary: 'The findings of a unit and of what is on it, the last found first',
    duty: 'read',
    params: ofUnit,
    query: s.openQuery,
    item: s.finding,
    key: ['id'] as const,
    keyOf: (row: FindingRow) => [row.findingId],
    show: showFinding,
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      const atMs = deps.clock.nowMs();
      const { unitId } = req.params;
      await mustFindUnit(tx, fleetId, unitId, atMs);
      const open = req.query.open === undefined ? undefined : req.query.open === 'true';
      return listFindings(tx, fleetId, { unitId, atMs, open }, after, limit);
    },
  });
}

function furtherRoutes(app: FastifyInstance, deps: RouteDeps): void {
  listRoute(app, deps, {
    url: '/v1/findings/:findingId/reports',
    tag,
    summary: 'Each time that a finding was told, oldest first',
    duty: 'read',
    params: z.object({ findingId: id }),
    item: s.findingReport,
    key: ['id'] as const,
    keyOf: (row: FindingReportRow) => [row.reportId],
    show: showFindingReport,
    read: (tx, req, after, limit) =>
      listFindingReports(tx, req.caller.fleetId, req.params.findingId, after, limit),
  });
  postRoute(app, deps, {
    url: '/v1/units/:unitId/findings/:findingId/close',
    tag,
    summary: 'Close a finding that is mended, was wrong, or was graded anew; a lead signs',
    description: 'The defect stop that it set is cleared with it.',
    duty: 'set_stops',
    status: 200,
    params: z.object({ unitId: id, findingId: id }),
    body: s.findingClosing,
    answer: s.finding,
    sign: { need: 'lead', fresh: true },
    run: async (work, { how, words }, req) => {
      await mustBeFindingOf(work, req.params);
      const { findingId } = req.params;
      const row = await closeFinding(work, signer(req), { findingId, how, words, cardId: null });
      return { body: showFinding(row) };
    },
  });
}

export async function findingRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  recordingRoutes(app, deps);
  furtherRoutes(app, deps);
}
