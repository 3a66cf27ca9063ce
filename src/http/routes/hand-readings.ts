import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText, instantTextOrNull } from '../../domain/instant.ts';
import { dimensionOf, formatGrains } from '../../domain/usage/meter.ts';
import { giveHandReading, voidGivenReading } from '../../flows/hand-reading.ts';
import {
  readHandReadings,
  type ShownHandReading,
  showHandReadings,
} from '../../flows/read-hand-readings.ts';
import { recorder } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import * as s from '../schemas/hand-reading.ts';

function show(row: ShownHandReading) {
  const unit = dimensionOf(row.meter);
  return {
    readingId: row.readingId,
    assetId: row.assetId,
    meter: row.meter,
    unit,
    value: formatGrains(row.grains, unit),
    resolution: formatGrains(row.resolutionGrains, unit),
    at: instantText(row.atMs),
    readBy: row.readBy,
    note: row.note,
    meterReplaced: row.meterReplaced,
    counts: row.counts,
    verdict: row.verdict,
    check: row.check && {
      since: instantText(row.check.sinceMs),
      ledgerValue: formatGrains(row.check.grains, unit),
      difference: formatGrains(row.grains - row.check.grains, unit),
      knownUntil: instantTextOrNull(row.check.knownToMs),
    },
    recordedAt: instantText(row.recordedAtMs),
    voided:
      row.voidedAtMs === null
        ? null
        : {
            by: row.voidedBy ?? '',
            reason: row.voidReason ?? '',
            at: instantText(row.voidedAtMs),
          },
  };
}

const about = `The source of use of a unit without a gateway; where a gateway counts it only
cross-checks, and \`check\` compares it with the ledger. Use begins at the starting value of an
import, or at the first reading. A reading may be told late: it takes its place by its time. The
same one again changes nothing. One that falls, or rises faster than the clock or the fastest
cycle allows (with a quarter of an hour and a step of the dial to spare), is refused: void the one
that is wrong, or say that the meter was replaced. Read the dial when a gateway comes or goes, or
the use between two readings is spread over both by time. Wait until the machine stands still
before you climb to a dial.`;

export async function handReadingRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/hand-readings',
    tag: 'usage',
    summary: 'Give what a person read off a dial',
    description: about,
    duty: 'read_meters',
    params: z.object({ assetId: id }),
    body: s.newHandReading,
    answer: s.handReadingGiven,
    run: async (work, body, req) => {
      const { at, note = null, resolution, ...rest } = body;
      const input = { ...rest, note, resolution, atMs: toMs(at) };
      const given = await giveHandReading(work, recorder(req), req.params.assetId, input);
      const [shown] = await showHandReadings(work.tx, work.fleetId, [given.row], work.nowMs);
      return { body: { ...show(shown as ShownHandReading), duplicate: given.duplicate } };
    },
  });
  listRoute(app, deps, {
    url: '/v1/assets/:assetId/hand-readings',
    tag: 'usage',
    summary: 'What people read off the dials of an asset, in the order of telling',
    duty: 'read',
    params: z.object({ assetId: id }),
    query: s.handReadingQuery,
    item: s.handReading,
    key: ['id'] as const,
    keyOf: (row: ShownHandReading) => [row.readingId],
    show,
    read: (tx, req, after, limit) => {
      const filter = { ...req.params, ...req.query, nowMs: deps.clock.nowMs() };
      return readHandReadings(tx, req.caller.fleetId, filter, after, limit);
    },
  });
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/hand-readings/:readingId/void',
    tag: 'usage',
    summary: 'Declare a reading by hand wrong; it is kept and counts no more',
    description:
      'Use is worked out anew without it, tasks are assessed anew, and what was announced ' +
      'because of it is undone in the event history.',
    duty: 'read_meters',
    status: 200,
    params: z.object({ assetId: id, readingId: id }),
    body: s.nameAndReason,
    answer: s.handReading,
    run: async (work, body, req) => {
      const row = await voidGivenReading(work, recorder(req), { ...req.params, ...body });
      const [shown] = await showHandReadings(work.tx, work.fleetId, [row], work.nowMs);
      return { body: show(shown as ShownHandReading) };
    },
  });
}
