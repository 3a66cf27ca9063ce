import swagger from '@fastify/swagger';
import swaggerUi from '@fastify/swagger-ui';
import fastify, { type FastifyBaseLogger, type FastifyInstance, LogController } from 'fastify';
import {
  fastifyZodOpenApiPlugin,
  fastifyZodOpenApiTransformers,
  serializerCompiler,
  validatorCompiler,
} from 'fastify-zod-openapi';
import { v7 as uuid } from 'uuid';
import type { RequestLimits } from './domain/access/allowance.ts';
import { RequestLimiter } from './flows/limit-requests.ts';
import { graph } from './graphql/ask.ts';
import { caller, duties } from './http/plugins/caller.ts';
import { operationNames } from './http/plugins/operation-names.ts';
import { answerProblem, problems } from './http/plugins/problems.ts';
import { requestLimits } from './http/plugins/request-limits.ts';
import type { RouteDeps } from './http/route-deps.ts';
import { assetRoutes } from './http/routes/assets.ts';
import { assignmentRoutes } from './http/routes/assignments.ts';
import { bringInRoutes } from './http/routes/bring-in.ts';
import { cardSigningRoutes } from './http/routes/card-signing.ts';
import { cardWorkRoutes } from './http/routes/card-work.ts';
import { competenceRoutes } from './http/routes/competences.ts';
import { decisionRoutes } from './http/routes/decisions.ts';
import { deferralRoutes } from './http/routes/deferrals.ts';
import { docsRoutes } from './http/routes/docs.ts';
import { eventRoutes } from './http/routes/events.ts';
import { findingRoutes } from './http/routes/findings.ts';
import { fleetRoutes } from './http/routes/fleet.ts';
import { fleetSettingRoutes } from './http/routes/fleet-settings.ts';
import { frameRoutes } from './http/routes/frames.ts';
import { gatewayHealthRoutes } from './http/routes/gateway-health.ts';
import { gatewayRoutes } from './http/routes/gateways.ts';
import { graphqlRoutes } from './http/routes/graphql.ts';
import { handReadingRoutes } from './http/routes/hand-readings.ts';
import { healthRoutes } from './http/routes/health.ts';
import { importRoutes } from './http/routes/imports.ts';
import { incidentRoutes } from './http/routes/incidents.ts';
import { installRoutes } from './http/routes/installs.ts';
import { jobCardRoutes } from './http/routes/job-cards.ts';
import { keyRoutes } from './http/routes/keys.ts';
import { liftCycleRoutes } from './http/routes/lift-cycles.ts';
import { measurementRoutes } from './http/routes/measurements.ts';
import { meterSourceRoutes } from './http/routes/meter-sources.ts';
import { partLifeRoutes } from './http/routes/part-lives.ts';
import { patternRoutes } from './http/routes/patterns.ts';
import { peopleRoutes } from './http/routes/people.ts';
import { readinessRoutes } from './http/routes/readiness.ts';
import { readingRoutes } from './http/routes/readings.ts';
import { recordRoutes } from './http/routes/records.ts';
import { retentionRoutes } from './http/routes/retention.ts';
import { stopRoutes } from './http/routes/stops.ts';
import { symptomRoutes } from './http/routes/symptoms.ts';
import { taskCallRoutes } from './http/routes/task-calls.ts';
import { unitRoutes } from './http/routes/units.ts';
import { upkeepRoutes } from './http/routes/upkeep.ts';
import { usageRoutes } from './http/routes/usage.ts';
import { usageEntryRoutes } from './http/routes/usage-entries.ts';
import { visitRoutes } from './http/routes/visits.ts';
import { walkRoundRoutes } from './http/routes/walk-rounds.ts';
import { yardRoutes } from './http/routes/yards.ts';
import { drainPlugin } from './lifecycle.ts';

export interface AppDeps extends RouteDeps {
  log: FastifyBaseLogger;
  limits: RequestLimits;
  /** How long the shared part of the limits may take to answer; default 500 ms. */
  askMostMs?: number;
  stopping: { readonly stopping: boolean };
}

const routes = [
  readingRoutes,
  frameRoutes,
  yardRoutes,
  unitRoutes,
  assetRoutes,
  installRoutes,
  importRoutes,
  fleetRoutes,
  fleetSettingRoutes,
  gatewayRoutes,
  decisionRoutes,
  gatewayHealthRoutes,
  liftCycleRoutes,
  patternRoutes,
  usageRoutes,
  handReadingRoutes,
  usageEntryRoutes,
  meterSourceRoutes,
  upkeepRoutes,
  taskCallRoutes,
  visitRoutes,
  jobCardRoutes,
  symptomRoutes,
  incidentRoutes,
  walkRoundRoutes,
  measurementRoutes,
  partLifeRoutes,
  recordRoutes,
  retentionRoutes,
  cardWorkRoutes,
  cardSigningRoutes,
  bringInRoutes,
  peopleRoutes,
  competenceRoutes,
  eventRoutes,
  graphqlRoutes,
  keyRoutes,
  healthRoutes,
  readinessRoutes,
  assignmentRoutes,
  deferralRoutes,
  stopRoutes,
  findingRoutes,
];

const about = `Usage in, due upkeep out, for towing trucks with self-loading wheel lifts.

Work on a lift can hurt people. What this service says comes after the equipment maker's manual,
local codes and qualified practice.

A key is sent as \`Authorization: Bearer <key>\`. Lists come in pages: send \`next\` back as
\`cursor\` until there is none. A POST or PATCH with an \`Idempotency-Key\` can be sent again and is
done once. PATCH wants the \`ETag\` of what it changes as \`If-Match\`. Answers say in
\`RateLimit-Policy\` and \`RateLimit\` how many requests the key may make and has left, and for how
many seconds; beyond that, 429 says in \`Retry-After\` when there will be more. Every refusal is
explained at /docs/problems, the lift pattern document at /docs/lift-patterns.`;

/** The HTTP service: plugins and routes in order. Never listens and never reads the environment. */
export async function buildApp(deps: AppDeps): Promise<FastifyInstance> {
  const app = fastify({
    loggerInstance: deps.log,
    logController: new LogController({ disableRequestLogging: true }),
    genReqId: () => uuid(),
    bodyLimit: 256 * 1024,
    // What fails before a route is found is answered in the same shape.
    frameworkErrors: (error, req, reply) => void answerProblem(error, req, reply),
    // What comes while it closes is refused by the problems plugin, in the one error shape.
    return503OnClosing: false,
    routerOptions: { maxParamLength: 200 },
    keepAliveTimeout: 10_000,
    // A client that takes nothing of its answer must not have it kept for ever. Longer than any
    // answer takes to begin.
    connectionTimeout: 90_000,
    requestTimeout: 60_000,
    // A request that hangs must end before its client and its transaction give up.
    handlerTimeout: 45_000,
  });
  app.setValidatorCompiler(validatorCompiler);
  app.setSerializerCompiler(serializerCompiler);
  await app.register(drainPlugin, { lifecycle: deps.stopping });
  await app.register(problems);
  await app.register(operationNames);
  await app.register(fastifyZodOpenApiPlugin);
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'Liftwright',
        version: deps.version,
        description: about,
        license: { name: 'Apache-2.0', identifier: 'Apache-2.0' },
      },
      servers: [{ url: '/' }],
      components: {
        securitySchemes: { key: { type: 'http', scheme: 'bearer', description: 'An API key.' } },
      },
    },
    ...fastifyZodOpenApiTransformers,
  });
  await app.register(swaggerUi, {
    routePrefix: '/docs',
    staticCSP: true,
    // The page is served over plain HTTP in a yard's own network too, and asks nothing of others.
    transformStaticCSP: (header) =>
      header.replace(' upgrade-insecure-requests;', '').replace(' validator.swagger.io', ''),
  });
  await app.register(caller, { pool: deps.pools.app, clock: deps.clock });
  const limiter = new RequestLimiter({ ...deps, pool: deps.pools.app });
  await app.register(requestLimits, { limiter });
  await app.register(duties);
  await app.register(graph);
  await app.register(docsRoutes);
  for (const each of routes) await app.register((scope) => each(scope, deps));
  return app as unknown as FastifyInstance;
}
