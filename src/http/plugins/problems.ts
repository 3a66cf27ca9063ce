import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import fp from 'fastify-plugin';
import { databaseFault } from '../../database-fault.ts';
import { type FieldFault, Problem, type ProblemCode, problemBody } from '../../errors.ts';

declare module 'fastify' {
  interface FastifyContextConfig {
    /** Content-Encodings that the route unpacks. */
    encodings?: readonly string[];
  }
}

const fromFramework: Record<string, [ProblemCode, string]> = {
  FST_ERR_CTP_BODY_TOO_LARGE: ['body_too_large', 'The body is over the limit of this route.'],
  FST_ERR_CTP_INVALID_MEDIA_TYPE: ['media_type_unsupported', 'Send application/json.'],
  FST_ERR_CTP_INVALID_JSON_BODY: ['body_unreadable', 'The body is not valid JSON.'],
  FST_ERR_CTP_EMPTY_JSON_BODY: ['body_unreadable', 'The body is empty.'],
  FST_ERR_CTP_INVALID_CONTENT_LENGTH: ['body_unreadable', 'The body is cut short.'],
  FST_ERR_BAD_URL: ['query_invalid', 'The path is not percent-encoded UTF-8.'],
  FST_ERR_MAX_PARAM_LENGTH: ['query_invalid', 'A part of the path is too long.'],
  FST_ERR_HANDLER_TIMEOUT: ['overloaded', 'It took too long.'],
};

const errorsMax = 100;

function faultsOf(error: FastifyError): FieldFault[] {
  return (error.validation ?? []).slice(0, errorsMax).map((fault) => ({
    path: fault.instancePath || '/',
    reason: fault.message ?? 'is not as the contract says',
  }));
}

const ofContext: Record<string, ProblemCode> = { body: 'body_invalid', headers: 'header_invalid' };

/** Turns whatever was thrown into a member of the catalogue. */
export function toProblem(error: FastifyError, method: string): Problem {
  if (error instanceof Problem) return error;
  if (error.validation) {
    return new Problem(
      ofContext[error.validationContext ?? ''] ?? 'query_invalid',
      `${error.validationContext ?? 'request'}: ${error.validation.length} fault(s), see errors.`,
      { errors: faultsOf(error) },
    );
  }
  const known = fromFramework[error.code ?? ''];
  if (known) {
    return new Problem(known[0], known[1], known[0] === 'overloaded' ? { retryAfterS: 5 } : {});
  }
  if (error instanceof SyntaxError && error.statusCode === 400) {
    return new Problem('body_unreadable', 'The body is not valid JSON.');
  }
  const fault = databaseFault(error, method === 'GET');
  if (fault) return fault;
  if (error.statusCode === 400) {
    return new Problem('body_unreadable', 'The request cannot be read.');
  }
  return new Problem('internal', 'The fault is ours and is logged under this request id.');
}

export function sendProblem(req: FastifyRequest, reply: FastifyReply, problem: Problem) {
  if (problem.status === 401) reply.header('www-authenticate', 'Bearer realm="liftwright"');
  if (problem.retryAfterS !== undefined) reply.header('retry-after', String(problem.retryAfterS));
  if (problem.etag !== undefined) reply.header('etag', problem.etag);
  return reply
    .code(problem.status)
    .header('content-type', 'application/problem+json; charset=utf-8')
    .serializer((payload) => JSON.stringify(payload))
    .send(problemBody(problem, `${req.url.split('?')[0]}#${req.id}`));
}

/** Answers whatever was thrown; faults of ours are logged, never told. */
export function answerProblem(error: FastifyError, req: FastifyRequest, reply: FastifyReply) {
  const problem = toProblem(error, req.method);
  if (problem.status >= 500) req.log.error({ err: error }, problem.code);
  return sendProblem(req, reply, problem);
}

/** The one error shape, and honest 404 and 405. */
export const problems = fp(
  async (app: FastifyInstance) => {
    const routes: { match: RegExp; methods: Set<string> }[] = [];
    app.addHook('onRoute', (route) => {
      const pattern = route.url.replace(/[.+?^${}()|[\]\\]/g, '\\$&').replace(/:\w+/g, '[^/]+');
      const match = new RegExp(`^${pattern.replace(/\*/g, '.*')}$`);
      routes.push({ match, methods: new Set([route.method].flat()) });
    });
    app.setErrorHandler(answerProblem);
    // Bodies are JSON; text would only be refused later, and less clearly.
    app.removeContentTypeParser('text/plain');
    let closing = false;
    app.addHook('preClose', async () => {
      closing = true;
    });
    app.addHook('onRequest', async (req) => {
      // What was begun is finished; what comes after is for another process, or for later.
      if (closing) throw new Problem('stopping', 'Send it again.', { retryAfterS: 5 });
      // The router takes `/v1/units/` for a unit without an id.
      if (req.routeOptions.config.duty && Object.values(req.params as object).includes('')) {
        throw new Problem('route_not_found', 'See /docs for the routes.');
      }
      const encoding = req.headers['content-encoding'] ?? 'identity';
      if (encoding === 'identity' || req.routeOptions.config.encodings?.includes(encoding)) return;
      throw new Problem('media_type_unsupported', 'This Content-Encoding is not taken here.');
    });
    app.setNotFoundHandler((req, reply) => {
      const path = req.url.split('?')[0] ?? '';
      const allowed = new Set(
        routes.filter((r) => r.match.test(path)).flatMap((r) => [...r.methods]),
      );
      if (allowed.size === 0) {
        return sendProblem(req, reply, new Problem('route_not_found', 'See /docs for the routes.'));
      }
      reply.header('allow', [...allowed].join(', '));
      return sendProblem(req, reply, new Problem('method_not_allowed', `Try ${[...allowed]}.`));
    });
  },
  { name: 'problems' },
);
