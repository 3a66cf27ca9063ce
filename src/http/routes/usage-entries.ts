import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText, instantTextOrNull } from '../../domain/instant.ts';
import { dimensionOf, formatGrains } from '../../domain/usage/meter.ts';
import { adjustUsage, readUsageEntries, withdrawAdjustment } from '../../flows/adjust-usage.ts';
import type { ListedEntry } from '../../store/usage-entry.ts';
import { recorder } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import { nameAndReason } from '../schemas/hand-reading.ts';
import * as s from '../schemas/usage-entry.ts';

function show(row: ListedEntry) {
  const unit = dimensionOf(row.meter);
  return {
    entryId: row.entryId,
    assetId: row.assetId,
    meter: row.meter,
    unit,
    kind: row.kind,
    day: row.day,
    at: instantTextOrNull(row.atMs),
    amount: formatGrains(row.grains, unit),
    grains: row.grains,
    reason: row.reason,
    name: row.name,
    handReadingId: row.handReadingId,
    withdraws: row.withdraws,
    withdrawnBy: row.withdrawnBy,
    recordedBy: row.recordedBy,
    recordedAt: instantText(row.recordedAtMs),
  };
}

export async function usageEntryRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/adjustments',
    tag: 'usage',
    summary: 'Adjust the use of a meter, with name and reason',
    description:
      'An entry of its own that moves the use of the meter from `at` on, is shown in every ' +
      'answer about use, and has tasks assessed anew. Before accepting what a reading by hand ' +
      'shows, see its `check.knownUntil`: what a device has not sent yet must not be adjusted, ' +
      'or it counts twice once it comes.',
    duty: 'decide_work',
    params: z.object({ assetId: id }),
    body: s.newAdjustment,
    answer: s.usageEntry,
    run: async (work, body, req) => {
      const { at, handReadingId = null, ...rest } = body;
      const input = { ...rest, handReadingId, atMs: toMs(at) };
      return { body: show(await adjustUsage(work, recorder(req), req.params.assetId, input)) };
    },
  });
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/adjustments/:entryId/withdraw',
    tag: 'usage',
    summary: 'Take an adjustment back, by an opposite entry',
    description: 'Both stay. Refused where it would leave less than nothing used.',
    duty: 'decide_work',
    params: z.object({ assetId: id, entryId: s.entryId }),
    body: nameAndReason,
    answer: s.usageEntry,
    run: async (work, body, req) => {
      const input = { ...req.params, ...body };
      return { body: show(await withdrawAdjustment(work, recorder(req), input)) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/assets/:assetId/usage-entries',
    tag: 'usage',
    summary: 'Adjustments, and changes to days that were closed, in the order of recording',
    duty: 'read',
    params: z.object({ assetId: id }),
    query: s.entryQuery,
    item: s.usageEntry,
    key: ['serial'] as const,
    keyOf: (row: ListedEntry) => [row.entryId],
    show,
    read: (tx, req, after, limit) => {
      const filter = { ...req.params, ...req.query, nowMs: deps.clock.nowMs() };
      return readUsageEntries(tx, req.caller.fleetId, filter, after, limit);
    },
  });
}
