import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText } from '../../domain/instant.ts';
import { asKnownAt } from '../../flows/as-known.ts';
import { beginControl, endControl, voidControl } from '../../flows/control-unit.ts';
import { mustFindUnit } from '../../flows/must-find.ts';
import { liftPreservation, preserveRecords } from '../../flows/preserve-records.ts';
import { readRetention } from '../../flows/read-record-head.ts';
import { sequenceForReader } from '../../flows/sequence-events.ts';
import {
  type ControlPeriodRow,
  listControlPeriods,
  listPreservationOrders,
  type PreservationOrderRow,
} from '../../store/record.ts';
import { listUnits, type UnitWithYards } from '../../store/unit.ts';
import { actor, signer } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id } from '../schemas/common.ts';
import { nameAndReason } from '../schemas/hand-reading.ts';
import * as s from '../schemas/record.ts';

const tag = 'record';
const ofUnit = z.object({ unitId: id });
const ofPeriod = z.object({ unitId: id, periodId: id });

const showPeriod = (row: ControlPeriodRow) => ({
  periodId: row.periodId,
  unitId: row.unitId,
  fromDay: row.fromDay,
  endedDay: row.endedDay,
  endReason: row.endReason,
  note: row.note,
  recordedAt: instantText(row.recordedAtMs),
  voided:
    row.voidedAtMs === null
      ? null
      : { by: row.voidedBy ?? '', reason: row.voidReason ?? '', at: instantText(row.voidedAtMs) },
});

const showOrder = (row: PreservationOrderRow) => ({
  orderId: row.orderId,
  unitId: row.unitId,
  reason: row.reason,
  reference: row.reference,
  placedAt: instantText(row.placedAtMs),
  placedBy: row.placedBy,
  lifted:
    row.liftedAtMs === null
      ? null
      : { at: instantText(row.liftedAtMs), by: row.liftedBy ?? '', reason: row.liftReason ?? '' },
});

function controlRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/units/:unitId/control-periods',
    tag,
    summary: 'Say from which day on a unit is under the control of the fleet',
    duty: 'keep_fleet',
    params: ofUnit,
    body: s.newControlPeriod,
    answer: s.controlPeriod,
    run: async (work, { fromDay, note = null }, req) => {
      const period = { ...req.params, fromDay, note };
      return { body: showPeriod(await beginControl(work, actor(req), period)) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/units/:unitId/control-periods',
    tag,
    summary: 'When a unit was under the control of the fleet; voided periods too',
    duty: 'read',
    params: ofUnit,
    item: s.controlPeriod,
    key: ['id'] as const,
    keyOf: (row: ControlPeriodRow) => [row.periodId],
    show: showPeriod,
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      await mustFindUnit(tx, fleetId, req.params.unitId, deps.clock.nowMs());
      return listControlPeriods(tx, fleetId, req.params.unitId, after, limit);
    },
  });
  postRoute(app, deps, {
    url: '/v1/units/:unitId/control-periods/:periodId/end',
    tag,
    summary: 'Say on which day a unit left control: sold, given back',
    duty: 'keep_fleet',
    status: 200,
    params: ofPeriod,
    body: s.controlEnd,
    answer: s.controlPeriod,
    run: async (work, body, req) => {
      const ending = { ...req.params, ...body };
      return { body: showPeriod(await endControl(work, actor(req), ending)) };
    },
  });
  postRoute(app, deps, {
    url: '/v1/units/:unitId/control-periods/:periodId/void',
    tag,
    summary: 'Declare a period of control wrong; it is kept and counts no more',
    duty: 'keep_fleet',
    status: 200,
    params: ofPeriod,
    body: nameAndReason,
    answer: s.controlPeriod,
    run: async (work, body, req) => {
      const voiding = { ...req.params, ...body };
      return { body: showPeriod(await voidControl(work, actor(req), voiding)) };
    },
  });
}

function orderRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/preservation-orders',
    tag,
    summary: 'Order that the records of a unit, or of all, be preserved',
    description:
      'While it stands nothing is purged or put away, and the fleet cannot be deleted. A lead ' +
      'signs.',
    duty: 'decide_work',
    sign: { need: 'lead', fresh: true },
    body: s.newPreservationOrder,
    answer: s.preservationOrder,
    run: async (work, { unitId = null, reason, reference = null }, req) => {
      const order = { unitId, reason, reference };
      return { body: showOrder(await preserveRecords(work, signer(req), order)) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/preservation-orders',
    tag,
    summary: 'Orders that records be preserved, those that were lifted too',
    duty: 'read',
    query: s.orderQuery,
    item: s.preservationOrder,
    key: ['id'] as const,
    keyOf: (row: PreservationOrderRow) => [row.orderId],
    show: showOrder,
    read: (tx, req, after, limit) => {
      const { unitId, standing } = req.query;
      const filter = { unitId, standing: standing === undefined ? undefined : standing === 'true' };
      return listPreservationOrders(tx, req.caller.fleetId, filter, after, limit);
    },
  });
  postRoute(app, deps, {
    url: '/v1/preservation-orders/:orderId/lift',
    tag,
    summary: 'Lift an order: by the word of a lead, never by itself',
    duty: 'decide_work',
    sign: { need: 'lead', fresh: true },
    status: 200,
    params: z.object({ orderId: id }),
    body: s.preservationLift,
    answer: s.preservationOrder,
    run: async (work, { reason }, req) => {
      const lifting = { ...req.params, reason };
      return { body: showOrder(await liftPreservation(work, signer(req), lifting)) };
    },
  });
}

type UnitRetention = z.output<typeof s.unitRetention>;

export async function retentionRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  controlRoutes(app, deps);
  orderRoutes(app, deps);
  listRoute(app, deps, {
    url: '/v1/retention',
    tag,
    summary: 'Until when each kind of record of each unit must be kept, and why',
    description:
      'By calendar months, kept to the end of a month. Nothing is purged because a period is over.',
    duty: 'read_history',
    query: z.object({ unitId: id.optional() }),
    item: s.unitRetention,
    key: ['text'] as const,
    keyOf: (row: UnitRetention) => [row.number],
    show: (row: UnitRetention) => row,
    before: (req) => sequenceForReader(deps, req.caller.fleetId),
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      const nowMs = deps.clock.nowMs();
      const known = await asKnownAt(tx, fleetId, undefined);
      const { unitId } = req.query;
      const units: UnitWithYards[] =
        unitId === undefined
          ? await listUnits(tx, fleetId, nowMs, after, limit)
          : [await mustFindUnit(tx, fleetId, unitId, nowMs)].filter(() => after === null);
      const rows: UnitRetention[] = [];
      for (const unit of units) {
        const kept = await readRetention(tx, fleetId, known, unit.unitId);
        rows.push({ unitId: unit.unitId, number: unit.number, ...kept });
      }
      return rows;
    },
  });
}
