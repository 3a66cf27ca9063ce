import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText, instantTextOrNull } from '../../domain/instant.ts';
import { dimensionOf, formatGrains } from '../../domain/usage/meter.ts';
import { chooseSource, withdrawChoice } from '../../flows/choose-source.ts';
import {
  type CountingPeriod,
  type NamedSource,
  nameChoice,
  readSources,
} from '../../flows/read-sources.ts';
import type { SourceChoiceRow } from '../../store/meter-source.ts';
import { recorder } from '../recorder.ts';
import { getRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import { nameAndReason } from '../schemas/hand-reading.ts';
import * as s from '../schemas/meter-source.ts';

const showChoice = (row: SourceChoiceRow & { source: NamedSource }) => ({
  choiceId: row.choiceId,
  meter: row.meter,
  source: row.source,
  from: instantText(row.during.fromMs),
  to: instantTextOrNull(row.during.toMs),
  name: row.name,
  reason: row.reason,
  recordedBy: row.recordedBy,
  recordedAt: instantText(row.recordedAtMs),
  withdrawn:
    row.voidedAtMs === null
      ? null
      : { name: row.voidedName, reason: row.voidReason ?? '', at: instantText(row.voidedAtMs) },
});

function showPeriod({ meter, source, choiceId, fromMs, toMs, others }: CountingPeriod) {
  const unit = dimensionOf(meter);
  const figure = (grains: number | null) => (grains === null ? null : formatGrains(grains, unit));
  return {
    meter,
    unit,
    source,
    by: choiceId === null ? ('rule' as const) : ('choice' as const),
    choiceId,
    from: instantText(fromMs),
    to: instantTextOrNull(toMs),
    others: others.slice(0, 200).map(({ use, countedUse, ...other }) => ({
      source: other.source,
      from: instantText(other.fromMs),
      to: instantText(other.toMs),
      use: figure(use),
      countedUse: figure(countedUse),
      difference: use === null || countedUse === null ? null : figure(use - countedUse),
    })),
  };
}

export async function meterSourceRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/meter-sources',
    tag: 'usage',
    summary: 'Choose which of several counts for a meter, from-to; of overlapping the later holds',
    description:
      'By the rule a device counts before readings by hand, and of devices the one that counts ' +
      'already goes on, else the one declared first begins. A choice holds while the chosen one ' +
      'could count at all: a gateway while it is on the unit of the asset.',
    duty: 'decide_work',
    params: z.object({ assetId: id }),
    body: s.newChoice,
    answer: s.choice,
    run: async (work, body, req) => {
      const { from, to = null, source, ...rest } = body;
      const chosen =
        source === 'hand' ? source : { gatewayId: source.gatewayId, counter: source.counter };
      const period = { fromMs: toMs(from), toMs: to === null ? null : toMs(to) };
      const input = { ...rest, ...period, source: chosen };
      const row = await chooseSource(work, recorder(req), req.params.assetId, input);
      return { body: showChoice(await nameChoice(work, row)) };
    },
  });
  postRoute(app, deps, {
    url: '/v1/assets/:assetId/meter-sources/:choiceId/withdraw',
    tag: 'usage',
    summary: 'Take a choice of meter source back, from its beginning on',
    duty: 'decide_work',
    status: 200,
    params: z.object({ assetId: id, choiceId: id }),
    body: nameAndReason,
    answer: s.choice,
    run: async (work, body, req) => {
      const input = { ...req.params, ...body };
      const row = await withdrawChoice(work, recorder(req), input);
      return { body: showChoice(await nameChoice(work, row)) };
    },
  });
  getRoute(app, deps, {
    url: '/v1/assets/:assetId/meter-sources',
    tag: 'usage',
    summary: 'What counts for the meters of an asset when, and what the others say of that time',
    description:
      'The figures of the others are folded from their readings when asked for, within the time ' +
      'asked for; an increment that reaches beyond it is split by time.',
    duty: 'read',
    params: z.object({ assetId: id }),
    query: s.sourcesQuery,
    answer: s.meterSources,
    read: async (tx, req) => {
      const { from, to, meter } = req.query;
      const range = {
        fromMs: from === undefined ? undefined : toMs(from),
        toMs: to === undefined ? undefined : toMs(to),
        meter,
      };
      const { fleetId } = req.caller;
      const nowMs = deps.clock.nowMs();
      const found = await readSources(tx, fleetId, req.params.assetId, range, nowMs);
      return {
        assetId: found.assetId,
        from: instantText(found.fromMs),
        to: instantText(found.toMs),
        counting: found.periods.slice(0, 1000).map(showPeriod),
        choices: found.choices.map(showChoice),
      };
    },
  });
}
