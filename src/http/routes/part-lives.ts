import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { correctPartLife, voidPartLife } from '../../flows/correct-part-life.ts';
import { usesOf } from '../../flows/meter-use.ts';
import { fitPart, movePart, removePart } from '../../flows/part-life.ts';
import {
  type PartLifeNow,
  readPartLife,
  readPartLives,
  showEntry,
  showPartLife,
} from '../../flows/show-part-life.ts';
import type { Work } from '../../flows/work.ts';
import { actor, doer } from '../recorder.ts';
import { getRoute, listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import { nameAndReason } from '../schemas/hand-reading.ts';
import * as s from '../schemas/part-life.ts';

const tag = 'wear';
const ofAsset = z.object({ assetId: id });
const ofLife = z.object({ assetId: id, lifeId: id });

/** A part as it is now, in the transaction that changed it. */
async function shown(work: Work, assetId: string, lifeId: string) {
  const { tx, fleetId, nowMs } = work;
  return showPartLife(await readPartLife(tx, fleetId, { assetId, lifeId, nowMs }));
}

/** A signature says who did it; without one somebody is named. */
const mayBeSigned = { need: null, optional: true } as const;
const named = (name: string) => ({ personId: null, name });

function readingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  listRoute(app, deps, {
    url: '/v1/assets/:assetId/part-lives',
    tag,
    summary: 'The parts of an asset that wear: fitted, removed, with their use',
    duty: 'read',
    params: ofAsset,
    query: s.partLifeQuery,
    item: s.partLife,
    key: ['id'] as const,
    keyOf: (row: PartLifeNow) => [row.life.lifeId],
    show: showPartLife,
    read: (tx, req, after, limit) => {
      const { part, point, fitted } = req.query;
      const place = {
        ...req.params,
        part,
        pointKey: point,
        fitted: fitted === undefined ? undefined : fitted === 'true',
        nowMs: deps.clock.nowMs(),
      };
      return readPartLives(tx, req.caller.fleetId, place, after, limit);
    },
  });
  getRoute(app, deps, {
    url: '/v1/assets/:assetId/part-lives/:lifeId',
    tag,
    summary: 'A part with all that was ever said of it',
    duty: 'read',
    params: ofLife,
    answer: s.partLifeWithEntries,
    read: async (tx, req) => {
      const of = { ...req.params, nowMs: deps.clock.nowMs() };
      const found = await readPartLife(tx, req.caller.fleetId, of);
      return { ...showPartLife(found), entries: found.entries.map(showEntry) };
    },
  });
}

function fittingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/part-lives',
    tag,
    summary: 'Say that a part was fitted, or a set of them, as both sides',
    description:
      'What it is used from then on is looked up from the meters of the asset. What sat there ' +
      'before must have been removed by then.',
    duty: 'record_work',
    params: ofAsset,
    body: s.newPartLife,
    sign: mayBeSigned,
    answer: s.partLives,
    run: async (work, body, req) => {
      const { assetId } = req.params;
      const begun = await fitPart(work, actor(req), {
        assetId,
        part: body.part,
        pointKeys: body.points,
        fittedAtMs: toMs(body.fittedAt),
        priorLife: body.priorLife,
        priorUse: usesOf(body.priorUse),
        makerNumber: body.makerNumber ?? null,
        supplier: body.supplier ?? null,
        lot: body.lot ?? null,
        warrantyUntilDay: body.warrantyUntilDay ?? null,
        warrantyUntilUse: usesOf(body.warrantyUntilUse ?? {}),
        words: body.note ?? null,
        fittedBy: doer(req, body.fittedBy),
      });
      const lives = [];
      for (const { life } of begun) lives.push(await shown(work, assetId, life.lifeId));
      return { body: { lives } };
    },
  });
}

function leavingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/part-lives/:lifeId/remove',
    tag,
    summary: 'Say that a part was removed, and why',
    duty: 'record_work',
    status: 200,
    params: ofLife,
    body: s.partRemoval,
    sign: mayBeSigned,
    answer: s.partLife,
    run: async (work, { at, why, removedBy, note = null }, req) => {
      const { assetId, lifeId } = req.params;
      const removal = { assetId, lifeId, removedAtMs: toMs(at), why, words: note };
      await removePart(work, actor(req), { ...removal, removedBy: doer(req, removedBy) });
      return { body: await shown(work, assetId, lifeId) };
    },
  });
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/part-lives/:lifeId/move',
    tag,
    summary: 'Move a part to another place or asset; its use goes along',
    duty: 'record_work',
    status: 200,
    params: ofLife,
    body: s.partMove,
    sign: mayBeSigned,
    answer: s.movedPart,
    run: async (work, { at, toAssetId, toPoint, movedBy, note = null }, req) => {
      const { assetId, lifeId } = req.params;
      const to = { assetId: toAssetId, pointKey: toPoint };
      const move = {
        assetId,
        lifeId,
        to,
        atMs: toMs(at),
        words: note,
        movedBy: doer(req, movedBy),
      };
      const moved = await movePart(work, actor(req), move);
      return {
        body: {
          from: await shown(work, assetId, lifeId),
          to: await shown(work, toAssetId, moved.to.life.lifeId),
        },
      };
    },
  });
}

function correctingRoutes(app: FastifyInstance, deps: RouteDeps): void {
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/part-lives/:lifeId/correct',
    tag,
    summary: 'Say what was wrong of a part; what was said before stays in its history',
    duty: 'decide_work',
    status: 200,
    params: ofLife,
    body: s.partCorrection,
    answer: s.partLife,
    run: async (work, { correctedBy, reason, ...body }, req) => {
      const { assetId, lifeId } = req.params;
      const { fittedAt, removed, priorUse, warrantyUntilUse, ...plain } = body;
      await correctPartLife(work, actor(req), {
        assetId,
        lifeId,
        reason,
        correctedBy: named(correctedBy),
        change: {
          ...plain,
          fittedAtMs: fittedAt === undefined ? undefined : toMs(fittedAt),
          priorUse: priorUse && usesOf(priorUse),
          warrantyUntilUse: warrantyUntilUse && usesOf(warrantyUntilUse),
          removed: removed ? { atMs: toMs(removed.at), why: removed.why } : removed,
        },
      });
      return { body: await shown(work, assetId, lifeId) };
    },
  });
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/part-lives/:lifeId/void',
    tag,
    summary: 'Say that a part never sat there; it stays in the history',
    duty: 'decide_work',
    status: 200,
    params: ofLife,
    body: nameAndReason,
    answer: s.partLife,
    run: async (work, { name, reason }, req) => {
      const { assetId, lifeId } = req.params;
      const voiding = { assetId, lifeId, reason, voidedBy: named(name) };
      await voidPartLife(work, actor(req), voiding);
      return { body: await shown(work, assetId, lifeId) };
    },
  });
}

export async function partLifeRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  readingRoutes(app, deps);
  fittingRoutes(app, deps);
  leavingRoutes(app, deps);
  correctingRoutes(app, deps);
}
