import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { checkRemoval, type RemovalLook, voidRemovalCheck } from '../../flows/check-removal.ts';
import { decideMeasurement } from '../../flows/decide-measurement.ts';
import { mustFindAsset } from '../../flows/must-find.ts';
import { recordMeasurement } from '../../flows/record-measurement.ts';
import { showMeasurement, showRemovalCheck, showTakeUp } from '../../flows/show-measurement.ts';
import { recordTakeUp, voidTakeUp } from '../../flows/take-up.ts';
import { tenThousandths, thousandths } from '../../flows/wear-place.ts';
import {
  findMeasurement,
  listMeasurements,
  listRemovalChecks,
  listTakeUps,
  type MeasurementWithWord,
  type RemovalCheckRow,
  type TakeUpRow,
} from '../../store/measurement.ts';
import { actor, doer, signer } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import { nameAndReason } from '../schemas/hand-reading.ts';
import * as s from '../schemas/wear.ts';

const tag = 'wear';
const ofAsset = z.object({ assetId: id });
/** A signature says who did it; without one somebody is named. */
const mayBeSigned = { need: null, optional: true } as const;
const figure = (value: number | undefined, what: string) =>
  value === undefined ? null : thousandths(value, what);

function measuringRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/measurements',
    tag,
    summary: 'Record a measurement: a size, or what a go/no-go gauge says',
    description:
      'It is held against the limits of the wear part. Near its limit it makes a finding to keep ' +
      'watch, past it one that is unfit where a load hangs on the place. What seems to have ' +
      'grown back by more than both readings can be wrong together is kept and marked ' +
      '`questioned`: a person says which is right. What the meters stood at then is looked up.',
    duty: 'record_work',
    params: ofAsset,
    body: s.newMeasurement,
    sign: mayBeSigned,
    answer: s.measurement,
    run: async (work, body, req) => {
      const { value, unit, gauge = null, temperatureC } = body;
      const size =
        value === undefined || unit === undefined
          ? null
          : { thousandths: thousandths(value, 'value'), unit };
      const { row } = await recordMeasurement(work, actor(req), {
        assetId: req.params.assetId,
        pointKey: body.point,
        part: body.part ?? null,
        limitKey: body.limit ?? null,
        size,
        gauge,
        tool: body.tool ?? null,
        errorThousandths: figure(body.error, 'error'),
        wiped: body.wiped ?? null,
        temperatureTenths: temperatureC === undefined ? null : Math.round(temperatureC * 10),
        atMs: toMs(body.at),
        note: body.note ?? null,
        measuredBy: doer(req, body.measuredBy),
        stepId: null,
      });
      const found = await findMeasurement(work.tx, work.fleetId, row.measurementId);
      return { body: showMeasurement(found as MeasurementWithWord) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/assets/:assetId/measurements',
    tag,
    summary: 'What was measured on an asset, in the order of telling; withdrawn ones too',
    duty: 'read',
    params: ofAsset,
    query: s.measurementQuery,
    item: s.measurement,
    key: ['id'] as const,
    keyOf: ({ row }: MeasurementWithWord) => [row.measurementId],
    show: showMeasurement,
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      const { assetId } = req.params;
      const { point, part, questioned } = req.query;
      await mustFindAsset(tx, fleetId, assetId, deps.clock.nowMs());
      const asked = questioned === undefined ? undefined : questioned === 'true';
      const filter = { assetId, pointKey: point, part, questioned: asked };
      return listMeasurements(tx, fleetId, filter, after, limit);
    },
  });
}

const words = {
  confirmed: {
    act: 'confirm',
    summary: 'Say that a questioned measurement is right',
    description: 'It counts from then on, and later ones are held against it.',
  },
  withdrawn: {
    act: 'withdraw',
    summary: 'Say that a measurement was wrong; it is kept and counts no more',
    description: 'A finding that it made stays: a lead closes it.',
  },
} as const;

function decidingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  for (const decision of ['confirmed', 'withdrawn'] as const) {
    const { act, summary, description } = words[decision];
    postRoute(app, deps, {
      url: `/v1/assets/:assetId/measurements/:measurementId/${act}`,
      tag,
      summary,
      description,
      duty: 'record_work',
      sign: { need: 'lift_work' },
      status: 200,
      params: z.object({ assetId: id, measurementId: id }),
      body: s.measurementWord,
      answer: s.measurement,
      run: async (work, { reason }, req) => {
        const word = { ...req.params, decision, reason };
        return { body: showMeasurement(await decideMeasurement(work, signer(req), word)) };
      },
    });
  }
}

function takeUpRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/take-ups',
    tag,
    summary: 'Record tension that was taken up: turns, and the gap before and after',
    description:
      'It changes the gap without a new part. More turns since the part was new than its pattern ' +
      'allows make a finding.',
    duty: 'record_work',
    params: ofAsset,
    body: s.newTakeUp,
    sign: mayBeSigned,
    answer: s.takeUp,
    run: async (work, body, req) => {
      const turns = thousandths(Math.abs(body.turns), 'turns') * Math.sign(body.turns);
      const row = await recordTakeUp(work, actor(req), {
        assetId: req.params.assetId,
        pointKey: body.point,
        part: body.part ?? null,
        atMs: toMs(body.at),
        turns,
        gapBefore: figure(body.gapBefore, 'gapBefore'),
        gapAfter: figure(body.gapAfter, 'gapAfter'),
        unit: body.unit ?? null,
        error: figure(body.error, 'error'),
        note: body.note ?? null,
        doneBy: doer(req, body.doneBy),
      });
      return { body: showTakeUp(row) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/assets/:assetId/take-ups',
    tag,
    summary: 'Tension that was taken up on an asset; voided ones too',
    duty: 'read',
    params: ofAsset,
    query: s.placeQuery,
    item: s.takeUp,
    key: ['id'] as const,
    keyOf: (row: TakeUpRow) => [row.takeUpId],
    show: showTakeUp,
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      const { assetId } = req.params;
      await mustFindAsset(tx, fleetId, assetId, deps.clock.nowMs());
      return listTakeUps(tx, fleetId, { assetId, pointKey: req.query.point }, after, limit);
    },
  });
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/take-ups/:takeUpId/void',
    tag,
    summary: 'Declare a take-up wrong; it is kept and counts no more',
    duty: 'record_work',
    status: 200,
    params: z.object({ assetId: id, takeUpId: id }),
    body: nameAndReason,
    answer: s.takeUp,
    run: async (work, body, req) => ({
      body: showTakeUp(await voidTakeUp(work, actor(req), { ...req.params, ...body })),
    }),
  });
}

const inTenThousandths = new Set([
  'nominal',
  'measured',
  'thinnest',
  'lengthNew',
  'lengthNow',
  'throatNew',
  'throatNow',
  'saddleNew',
  'saddleNow',
  'thicknessNew',
  'thicknessNow',
]);

/** What was seen, as the rules want it: whole ten-thousandths, and null for what nobody said. */
function lookOf({ subject, ...body }: s.RemovalLookBody): RemovalLook {
  const asked = s.lookFields[subject];
  const said = body as Record<string, unknown>;
  const look = Object.fromEntries(
    asked.map((field) => {
      const value = said[field] ?? null;
      const exact = typeof value === 'number' && inTenThousandths.has(field);
      return [field, exact ? tenThousandths(value, field) : value];
    }),
  );
  return { subject, look } as unknown as RemovalLook;
}

function removalRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/removal-checks',
    tag,
    summary: 'Hold a rope, chain, hook, sling or hose against published removal benchmarks',
    description:
      'Benchmarks do not bind a tow truck in law: the maker, local rules and a competent person ' +
      'come first. Where two disagree the stricter decides, and every rule that spoke is kept. ' +
      'What was not counted or measured leaves the decision to a competent person. Never handle ' +
      'wire rope without leather gloves, nor with gloves near a turning drum.',
    duty: 'record_work',
    params: ofAsset,
    body: s.newRemovalCheck,
    sign: mayBeSigned,
    answer: s.removalCheck,
    run: async (work, { point, at, look, checkedBy, note = null }, req) => {
      const row = await checkRemoval(work, actor(req), {
        assetId: req.params.assetId,
        pointKey: point,
        atMs: toMs(at),
        looked: lookOf(look),
        note,
        checkedBy: doer(req, checkedBy),
        stepId: null,
      });
      return { body: showRemovalCheck(row) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/assets/:assetId/removal-checks',
    tag,
    summary: 'What was held against removal benchmarks on an asset; voided ones too',
    duty: 'read',
    params: ofAsset,
    query: s.placeQuery,
    item: s.removalCheck,
    key: ['id'] as const,
    keyOf: (row: RemovalCheckRow) => [row.checkId],
    show: showRemovalCheck,
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      const { assetId } = req.params;
      await mustFindAsset(tx, fleetId, assetId, deps.clock.nowMs());
      return listRemovalChecks(tx, fleetId, { assetId, pointKey: req.query.point }, after, limit);
    },
  });
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/removal-checks/:checkId/void',
    tag,
    summary: 'Declare a removal check wrong; a finding that it made stays for a lead to close',
    duty: 'record_work',
    status: 200,
    params: z.object({ assetId: id, checkId: id }),
    body: nameAndReason,
    answer: s.removalCheck,
    run: async (work, body, req) => ({
      body: showRemovalCheck(await voidRemovalCheck(work, actor(req), { ...req.params, ...body })),
    }),
  });
}

export async function measurementRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  measuringRoutes(app, deps);
  decidingRoutes(app, deps);
  takeUpRoutes(app, deps);
  removalRoutes(app, deps);
}
