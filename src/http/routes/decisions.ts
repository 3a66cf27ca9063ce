import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText } from '../../domain/instant.ts';
import { dimensionOf, formatGrains } from '../../domain/usage/meter.ts';
import { decideReading } from '../../flows/decide-reading.ts';
import {
  keyOfQuestion,
  type OpenQuestion,
  readDecisions,
  readOpenQuestions,
} from '../../flows/open-questions.ts';
import type { ListedDecision } from '../../store/reading-decision.ts';
import { recorder } from '../recorder.ts';
import { listRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, toMs } from '../schemas/common.ts';
import * as s from '../schemas/decision.ts';

function showQuestion(open: OpenQuestion) {
  const { counter, epoch, seq, meter, atMs, raw } = open.question;
  const unit = dimensionOf(meter);
  const shown = { kind: open.kind, counter, epoch, seq, meter, unit, at: instantText(atMs), raw };
  if (open.kind === 'conflict') {
    const { first } = open.question;
    return {
      ...shown,
      first: first && { at: instantText(first.atMs), raw: first.raw },
      against: null,
      amount: null,
      verdict: null,
    };
  }
  const { against, resolutionGrains, verdict } = open.question;
  const amount = raw < against ? null : formatGrains((raw - against) * resolutionGrains, unit);
  return { ...shown, first: null, against, amount, verdict };
}

function showDecision(row: ListedDecision) {
  const { decisionId, counter, epoch, seq, meter, subject, decision, raw, against } = row;
  const unit = dimensionOf(meter);
  return {
    ...{ decisionId, counter, epoch, seq, meter, unit, subject, decision },
    at: instantText(row.atMs),
    raw,
    against,
    amount: row.grains === null ? null : formatGrains(row.grains, unit),
    name: row.name,
    reason: row.reason,
    recordedBy: row.recordedBy,
    recordedAt: instantText(row.recordedAtMs),
  };
}

const params = z.object({ gatewayId: id });

export async function decisionRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  listRoute(app, deps, {
    url: '/v1/gateways/:gatewayId/open-questions',
    tag: 'gateways',
    summary: 'Readings of a gateway that wait for the word of a person',
    duty: 'read',
    params,
    item: s.openQuestion,
    key: ['serial', 'serial', 'serial', 'serial', 'serial'] as const,
    keyOf: keyOfQuestion,
    show: showQuestion,
    read: (tx, req, after, limit) =>
      readOpenQuestions(tx, req.caller.fleetId, req.params.gatewayId, after, limit),
  });
  postRoute(app, deps, {
    url: '/v1/gateways/:gatewayId/decisions',
    tag: 'gateways',
    summary: 'Decide on a reading that waits for a word; a later word takes its place',
    description:
      'The readings stay as they came; the line is folded anew from there with the decision, and ' +
      'what was announced wrongly is undone in the event history. A fall never counts: what was ' +
      'used then is given as an adjustment.',
    duty: 'decide_work',
    params,
    body: s.newDecision,
    answer: s.decision,
    run: async (work, { at, raw, ...rest }, req) => {
      const input = { ...rest, raw, atMs: at === undefined ? undefined : toMs(at) };
      const { gatewayId } = req.params;
      return { body: showDecision(await decideReading(work, recorder(req), gatewayId, input)) };
    },
  });
  listRoute(app, deps, {
    url: '/v1/gateways/:gatewayId/decisions',
    tag: 'gateways',
    summary: "What was decided on a gateway's readings, in the order of deciding",
    duty: 'read',
    params,
    item: s.decision,
    key: ['id'] as const,
    keyOf: (row: ListedDecision) => [row.decisionId],
    show: showDecision,
    read: (tx, req, after, limit) =>
      readDecisions(tx, req.caller.fleetId, req.params.gatewayId, after, limit),
  });
}
