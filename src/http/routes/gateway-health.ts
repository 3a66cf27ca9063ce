import type { FastifyInstance } from 'fastify';
import { instantText, instantTextOrNull } from '../../domain/instant.ts';
import { type GatewayHealth, readGatewayHealth } from '../../flows/read-gateway-health.ts';
import { readOwnStanding } from '../../flows/read-own-standing.ts';
import { gatewayOf, gatewayParams } from '../gateway-params.ts';
import { getRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import * as s from '../schemas/gateway-health.ts';

const pairs = (ranges: readonly (readonly [number, number])[]) =>
  ranges.map(([from, to]): [number, number] => [from, to]);

function showCounter(counter: GatewayHealth['counters'][number]) {
  const { lastReadingAtMs, waitingSinceMs, shownEpochs } = counter;
  return {
    counter: counter.counter,
    meter: counter.meter,
    lastReadingAt: instantTextOrNull(lastReadingAtMs),
    setAside: counter.setAside,
    waiting: counter.waiting,
    waitingSince: instantTextOrNull(waitingSinceMs),
    epochsInAll: counter.epochs,
    epochs: shownEpochs.map(({ openedAtMs, missing, lost, ...epoch }) => ({
      ...epoch,
      openedAt: instantText(openedAtMs),
      missing: pairs(missing),
      lost: pairs(lost),
    })),
  };
}

function show({ standing, contact, ...health }: GatewayHealth, nowMs: number) {
  const { unit, clockFacts } = standing;
  return {
    gatewayId: standing.gatewayId,
    serial: standing.serial,
    asOf: instantText(nowMs),
    unit: unit && { unitId: unit.unitId, number: unit.number },
    states: health.states,
    reasons: health.reasons,
    contact: {
      state: contact.state,
      lastPostAt: instantTextOrNull(standing.lastPostAtMs),
      silentSince: instantTextOrNull(contact.sinceMs),
      silentFrom: instantTextOrNull(contact.silentFromMs),
      longestGapSeconds: standing.habitMs / 1000,
      allowedGapSeconds: health.allowedSilenceMs / 1000,
    },
    suspects: standing.suspects,
    clock: {
      offsetMs: standing.deviceOffsetMs,
      fastMs: clockFacts[0]?.offsetMs ?? 0,
      facts: clockFacts.map(({ seenAtMs, offsetMs }) => ({
        seenAt: instantText(seenAtMs),
        offsetMs,
      })),
    },
    counters: health.counters.map(showCounter),
  };
}

const recipe = `For a gateway: who it is, our time, and where each of its counters stands.

A gateway that forgot everything but its key goes on like this:

1. Read this. \`epoch\` of each counter is the one that counts; \`missing\` is still wanted.
2. What it still has in its buffer under the old numbers it sends first, in the old epoch. Numbers
   that it can never send it declares in \`lost\` of that stream, below \`highest\`.
3. When it has lost its numbers, it asks \`POST /v1/gateways/me/epochs\` for a new epoch of each
   counter and numbers from 0 there. The cause says what we may believe of the next value:
   \`sequence_lost\`: the counter itself ran on; use in between is counted.
   \`counter_reset\`: the counter began again at zero.
   \`controller_replaced\`: another controller counts; its first value is only a start.
4. A counter that is not listed it declares again (\`POST /v1/gateways/me/counters\`): declaring the
   same twice changes nothing. What a counter counts never changes; one that counts otherwise gets
   another name.

Asking for an epoch with an Idempotency-Key lets it repeat the request after a lost answer.`;

export async function gatewayHealthRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  getRoute(app, deps, {
    url: '/v1/gateways/:gatewayId/health',
    tag: 'gateways',
    summary: 'How a gateway is: silence, clock, gaps, what waits, and why, in words',
    duty: 'see_gateway',
    params: gatewayParams,
    answer: s.gatewayHealth,
    read: async (tx, req) => {
      const nowMs = deps.clock.nowMs();
      return show(await readGatewayHealth(tx, req.caller.fleetId, gatewayOf(req), nowMs), nowMs);
    },
  });
  getRoute(app, deps, {
    url: '/v1/gateways/me',
    tag: 'gateways',
    summary: 'Where the gateway of the key stands, so that it can go on',
    description: recipe,
    duty: 'report_use',
    answer: s.ownStanding,
    read: async (tx, req) => {
      const { fleetId, gatewayId } = req.caller;
      const nowMs = deps.clock.nowMs();
      const own = await readOwnStanding(tx, fleetId, gatewayId as string);
      return {
        gatewayId: own.gatewayId,
        serial: own.serial,
        serverTime: instantText(nowMs),
        serverTimeMs: nowMs,
        lastPostAt: instantTextOrNull(own.lastPostAtMs),
        counters: own.counters.map(({ epochs, ...counter }) => ({
          ...counter,
          epochs: epochs.map(({ openedAtMs, missing, ...epoch }) => ({
            ...epoch,
            issuedAt: instantText(openedAtMs),
            missing: pairs(missing),
          })),
        })),
      };
    },
  });
}
