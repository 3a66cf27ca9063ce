import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText } from '../../domain/instant.ts';
import { callTask, withdrawCall } from '../../flows/call-task.ts';
import { mustFindAsset } from '../../flows/must-find.ts';
import { listCalls, type TaskCallRow, type TaskCallShown } from '../../store/task-call.ts';
import { recorder } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id } from '../schemas/common.ts';
import * as s from '../schemas/task-call.ts';

const show = (row: TaskCallRow, answered: boolean) => ({
  callId: row.callId,
  assetId: row.assetId,
  task: row.taskKey,
  at: instantText(row.calledAtMs),
  cause: { kind: row.cause, id: row.causeId },
  what: row.what,
  words: row.words,
  answered,
  withdrawn:
    row.withdrawnAtMs === null
      ? null
      : { reason: row.withdrawReason ?? '', at: instantText(row.withdrawnAtMs) },
});

const taskKey = z.string().min(1).max(80);

export async function taskCallRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  postRoute(app, deps, {
    url: '/v1/units/:unitId/tasks/:taskKey/calls',
    tag: 'upkeep',
    summary: 'Call a task due now; it is in its window until it is done after this',
    duty: 'decide_work',
    params: z.object({ unitId: id, taskKey }),
    body: s.newTaskCall,
    answer: s.taskCall,
    run: async (work, { assetId = null, words }, req) => {
      const input = { ...req.params, assetId, words };
      return { body: show(await callTask(work, recorder(req), input), false) };
    },
  });
  postRoute(app, deps, {
    url: '/v1/units/:unitId/task-calls/:callId/withdraw',
    tag: 'upkeep',
    summary: 'Say that a task was called due for nothing; it stays in the history',
    duty: 'decide_work',
    status: 200,
    params: z.object({ unitId: id, callId: id }),
    body: s.taskCallWithdrawal,
    answer: s.taskCall,
    run: async (work, { reason }, req) => {
      const row = await withdrawCall(work, recorder(req), { ...req.params, reason });
      return { body: show(row, row.answered) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/assets/:assetId/task-calls',
    tag: 'upkeep',
    summary: 'What called tasks of an asset due, the latest first; answered and withdrawn ones too',
    duty: 'read',
    params: z.object({ assetId: id }),
    query: z.object({ task: taskKey.optional() }),
    item: s.taskCall,
    key: ['id'] as const,
    keyOf: (row: TaskCallShown) => [row.callId],
    show: (row) => show(row, row.answered),
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      const { assetId } = req.params;
      await mustFindAsset(tx, fleetId, assetId, deps.clock.nowMs());
      return listCalls(tx, fleetId, { assetId, taskKey: req.query.task }, after, limit);
    },
  });
}
