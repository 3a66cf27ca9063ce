import type { FastifyInstance } from 'fastify';
import type { FastifyZodOpenApiSchema } from 'fastify-zod-openapi';
import type { z } from 'zod';
import { cycleBasisVersion, cycleRules } from '../../domain/usage/cycle-basis.ts';
import {
  cyclesAtRest,
  deriveCycles,
  openCycle,
  type SignalSample,
} from '../../domain/usage/derive-cycles.ts';
import { Problem } from '../../errors.ts';
import type { RouteDeps } from '../route-deps.ts';
import { refusals, security } from '../schemas/common.ts';
import { checkedCycles, cycleCheck } from '../schemas/lift-cycle.ts';

/** Room for the most samples that a check may hold. */
const bodyLimit = 1024 * 1024;

/** Samples that have a value and are later than the one before, with counts of the others. */
function usable(samples: z.output<typeof cycleCheck>['samples']) {
  const kept: SignalSample[] = [];
  let withoutValue = 0;
  let outOfOrder = 0;
  for (const [atMs, value] of samples) {
    const last = kept.at(-1);
    if (value === null) withoutValue += 1;
    else if (last !== undefined && atMs <= last.atMs) outOfOrder += 1;
    else kept.push({ atMs, value });
  }
  return { kept, withoutValue, outOfOrder };
}

/** @throws Problem basis_invalid */
function check({ meter, basis, settings, samples }: z.output<typeof cycleCheck>) {
  const found = cycleRules(meter, basis, settings);
  if (!found.ok) throw new Problem('basis_invalid', `${found.reason}.`);
  const { kept, withoutValue, outOfOrder } = usable(samples);
  const { state, cycles, notCounted } = deriveCycles(found.rules, cyclesAtRest, kept);
  return {
    meter,
    basis,
    basisVersion: cycleBasisVersion,
    rules: { ...found.rules },
    count: cycles.length,
    cycles,
    notCounted,
    open: openCycle(state),
    gaps: state.gaps,
    withoutValue,
    outOfOrder,
  };
}

export async function liftCycleRoutes(app: FastifyInstance, _deps: RouteDeps): Promise<void> {
  const schema = {
    tags: ['gateways'],
    summary: 'Check the cycles that firmware derives against the reference; stores nothing',
    description:
      'Samples of one signal in; the cycles that count, with times, and why others do not. The ' +
      'rules of each basis: /docs/lift-cycles.',
    security,
    body: cycleCheck,
    response: {
      200: {
        description: 'What the reference derives.',
        content: { 'application/json': { schema: checkedCycles } },
      },
      ...refusals(),
    },
  } satisfies FastifyZodOpenApiSchema;
  app.route({
    method: 'POST',
    url: '/v1/lift-cycles/check',
    config: { duty: 'try_out' },
    bodyLimit,
    schema,
    handler: async (req) => check(req.body as z.output<typeof cycleCheck>),
  });
}
