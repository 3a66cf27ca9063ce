import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { itemsFor, walkItems } from '../../domain/shop/walk-item.ts';
import { mustFindUnit } from '../../flows/must-find.ts';
import { showWalkRound, withDefects } from '../../flows/show-walk-round.ts';
import {
  certifyDefects,
  readWalkRound,
  recordWalkRound,
  reviewWalkRound,
  type WholeWalkRound,
} from '../../flows/walk-round.ts';
import { assetsOnUnit } from '../../store/install.ts';
import { listWalkRounds } from '../../store/walk-round.ts';
import { signer } from '../recorder.ts';
import { getRoute, listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import * as s from '../schemas/walk-round.ts';

const ofUnit = z.object({ unitId: id });
const one = ofUnit.extend({ walkRoundId: id });
const waits = z.enum(['true', 'false']).optional().meta({
  description: 'Only those that wait for a certification or a review, or only the others.',
});
const waitsOf = (text: 'true' | 'false' | undefined) =>
  text === undefined ? undefined : text === 'true';

function driversRoutes(app: FastifyInstance, deps: RouteDeps): void {
  getRoute(app, deps, {
    url: '/v1/units/:unitId/walk-items',
    tag: 'shop',
    summary: 'What a driver looks at on a walk round this unit, in the order of the walk',
    duty: 'read',
    params: ofUnit,
    answer: s.walkItemList,
    read: async (tx, req) => {
      const { fleetId } = req.caller;
      const { unitId } = req.params;
      const nowMs = deps.clock.nowMs();
      await mustFindUnit(tx, fleetId, unitId, nowMs);
      const kinds = (await assetsOnUnit(tx, fleetId, unitId, nowMs)).map(({ kind }) => kind);
      const items = itemsFor(kinds).map((item) => {
        const { words, source } = walkItems[item];
        return { item, words, source };
      });
      return { items };
    },
  });
  postRoute(app, deps, {
    url: '/v1/units/:unitId/walk-rounds',
    tag: 'shop',
    summary: 'Sign a walk round a unit, with the defects that were seen, if any',
    description:
      'Each defect becomes a finding; the same one told again joins it. A person certifies it as ' +
      'repaired, or as needing no repair; then the next driver reviews and signs before use.',
    duty: 'report_fault',
    params: ofUnit,
    sign: { need: 'driving' },
    body: s.newWalkRound,
    answer: s.walkRound,
    run: async (work, body, req) => {
      const whole = await recordWalkRound(work, signer(req), {
        unitId: req.params.unitId,
        shift: body.shift,
        defects: body.defects,
        walkedAtMs: body.walkedAt === undefined ? work.nowMs : toMs(body.walkedAt),
      });
      return { body: showWalkRound(whole) };
    },
  });
  postRoute(app, deps, {
    url: '/v1/units/:unitId/walk-rounds/:walkRoundId/review',
    tag: 'shop',
    summary: 'The next driver has read what was told and certified, and signs before use',
    duty: 'report_fault',
    status: 200,
    params: one,
    sign: { need: 'driving' },
    body: s.review,
    answer: s.walkRound,
    run: async (work, _body, req) => ({
      body: showWalkRound(await reviewWalkRound(work, signer(req), req.params)),
    }),
  });
}

function shopsRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/units/:unitId/walk-rounds/:walkRoundId/certify',
    tag: 'shop',
    summary: 'Certify that defects were repaired, or that a repair is unnecessary; a lead signs',
    duty: 'work_cards',
    status: 200,
    params: one,
    sign: { need: 'lead', fresh: true },
    body: s.certification,
    answer: s.walkRound,
    run: async (work, { how, words, defectIds = null, cardId = null }, req) => {
      const input = { ...req.params, how, words, defectIds, cardId };
      return { body: showWalkRound(await certifyDefects(work, signer(req), input)) };
    },
  });
  const list = {
    tag: 'shop',
    duty: 'read',
    item: s.walkRound,
    key: ['id'],
    keyOf: ({ row }: WholeWalkRound) => [row.walkRoundId],
    show: showWalkRound,
  } as const;
  listRoute(app, deps, {
    ...list,
    url: '/v1/units/:unitId/walk-rounds',
    summary: 'The walk-rounds of a unit, the last recorded first',
    params: ofUnit,
    query: z.object({ waits }),
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      const { unitId } = req.params;
      await mustFindUnit(tx, fleetId, unitId, deps.clock.nowMs());
      const filter = { unitId, waits: waitsOf(req.query.waits) };
      return withDefects(tx, fleetId, await listWalkRounds(tx, fleetId, filter, after, limit));
    },
  });
  listRoute(app, deps, {
    ...list,
    url: '/v1/walk-rounds',
    summary: 'The walk-rounds of all units, the last recorded first',
    query: z.object({ waits }),
    read: async (tx, req, after, limit) => {
      const { fleetId } = req.caller;
      const filter = { unitId: undefined, waits: waitsOf(req.query.waits) };
      return withDefects(tx, fleetId, await listWalkRounds(tx, fleetId, filter, after, limit));
    },
  });
  getRoute(app, deps, {
    url: '/v1/units/:unitId/walk-rounds/:walkRoundId',
    tag: 'shop',
    summary: 'A walk-round with its defects, what it waits for, and who signed what',
    duty: 'read',
    params: one,
    answer: s.walkRound,
    read: async (tx, req) => {
      const { unitId, walkRoundId } = req.params;
      return showWalkRound(await readWalkRound(tx, req.caller.fleetId, unitId, walkRoundId));
    },
  });
}

export async function walkRoundRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  driversRoutes(app, deps);
  shopsRoutes(app, deps);
}
