import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText } from '../../domain/instant.ts';
import { dateSeverity } from '../../flows/date-severity.ts';
import { mustFindAsset } from '../../flows/must-find.ts';
import { readUnitTasks } from '../../flows/read-upkeep.ts';
import { recordDone, voidRecordedDone } from '../../flows/record-upkeep.ts';
import { showTask } from '../../flows/show-task.ts';
import { listSeverities, type SeverityRow } from '../../store/severity.ts';
import { listDones, type TaskDoneRow } from '../../store/upkeep.ts';
import { recorder } from '../recorder.ts';
import { getRoute, listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import * as s from '../schemas/upkeep.ts';

const showDone = (row: TaskDoneRow) => ({
  doneId: row.doneId,
  assetId: row.assetId,
  task: row.taskKey,
  at: instantText(row.doneAtMs),
  estimated: row.estimated,
  note: row.note,
  cardId: row.cardId,
  recordedAt: instantText(row.recordedAtMs),
  voided:
    row.voidedAtMs === null
      ? null
      : { reason: row.voidReason ?? '', at: instantText(row.voidedAtMs) },
});

const showSeverity = (row: SeverityRow) => ({
  severityId: row.severityId,
  kind: row.kind,
  yardId: row.yardId,
  unitId: row.unitId,
  fromDay: row.fromDay,
  toDay: row.toDay,
  season:
    row.seasonFrom === null || row.seasonTo === null
      ? null
      : { from: row.seasonFrom, to: row.seasonTo },
});

const taskKey = z.string().min(1).max(80);
const taskParams = z.object({ unitId: id, taskKey });

function taskRoutes(app: FastifyInstance, deps: RouteDeps): void {
  getRoute(app, deps, {
    url: '/v1/units/:unitId/tasks',
    tag: 'upkeep',
    summary: 'The upkeep tasks of a unit: status, window, days and reasons',
    duty: 'read',
    params: z.object({ unitId: id }),
    answer: s.unitTasks,
    read: async (tx, req) => {
      const { unitId } = req.params;
      const found = await readUnitTasks(tx, req.caller.fleetId, unitId, deps.clock.nowMs());
      return { unitId, tasks: found.map(({ state, rule }) => showTask(state, rule)) };
    },
  });
  postRoute(app, deps, {
    url: '/v1/units/:unitId/tasks/:taskKey/done',
    tag: 'upkeep',
    summary: 'Record that a task was done, at a time that may lie in the past',
    duty: 'record_work',
    params: taskParams,
    body: s.newDone,
    answer: s.done,
    run: async (work, { at, assetId = null, estimated, note = null }, req) => {
      const input = { ...req.params, assetId, atMs: toMs(at), estimated, note };
      return { body: showDone(await recordDone(work, recorder(req), input)) };
    },
  });
}

function doneRoutes(app: FastifyInstance, deps: RouteDeps): void {
  listRoute(app, deps, {
    url: '/v1/assets/:assetId/dones',
    tag: 'upkeep',
    summary: 'What was recorded as done on an asset, the latest told first; voided ones too',
    duty: 'read',
    params: z.object({ assetId: id }),
    query: z.object({ task: taskKey.optional() }),
    item: s.done,
    key: ['id'] as const,
    keyOf: (row: TaskDoneRow) => [row.doneId],
    show: showDone,
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      const { assetId } = req.params;
      await mustFindAsset(tx, fleetId, assetId, deps.clock.nowMs());
      return listDones(tx, fleetId, { assetId, taskKey: req.query.task }, after, limit);
    },
  });
  postRoute(app, deps, {
    url: '/v1/units/:unitId/dones/:doneId/void',
    tag: 'upkeep',
    summary: 'Declare a recorded done wrong; it stays in the history',
    duty: 'decide_work',
    status: 200,
    params: z.object({ unitId: id, doneId: id }),
    body: s.voiding,
    answer: s.done,
    run: async (work, { reason }, req) => ({
      body: showDone(await voidRecordedDone(work, recorder(req), { ...req.params, reason })),
    }),
  });
}

function severityRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/severities',
    tag: 'upkeep',
    summary: 'Date hard use (salt, dust, heavy use) of a yard or a unit',
    duty: 'decide_work',
    body: s.newSeverity,
    answer: s.severity,
    run: async (work, body) => {
      const row = await dateSeverity(work, {
        kind: body.kind,
        yardId: body.yardId ?? null,
        unitId: body.unitId ?? null,
        fromDay: body.fromDay,
        toDay: body.toDay ?? null,
        seasonFrom: body.season?.from ?? null,
        seasonTo: body.season?.to ?? null,
      });
      return { body: showSeverity(row) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/severities',
    tag: 'upkeep',
    summary: 'List dated severities',
    duty: 'read',
    item: s.severity,
    key: ['id'] as const,
    keyOf: (row: SeverityRow) => [row.severityId],
    show: showSeverity,
    read: (tx, req, after, limit) => listSeverities(tx, req.caller.fleetId, after, limit),
  });
}

export async function upkeepRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  taskRoutes(app, deps);
  doneRoutes(app, deps);
  severityRoutes(app, deps);
}
