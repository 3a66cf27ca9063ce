import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import fp from 'fastify-plugin';
import { type FieldFault, Problem, type ProblemCode, problemBody } from '../../errors.ts';

declare module 'fastify' {
  interface FastifyContextConfig {
    /** Content-Encodings that the route unpacks. */
    encodings?: readonly string[];
  }
}

/** SQLSTATEs that are the caller's business, and what the catalogue calls them. */
const refusedByDatabase: Record<string, [ProblemCode, string]> = {
  '23505': ['already_exists', 'Something with the same name, number or serial exists already.'],
  '23503': ['reference_unknown', 'An id in the request is not known in this fleet.'],
  '23P01': ['install_overlaps', 'It is already somewhere in part of that time.'],
  '55P03': ['request_in_flight', 'The same thing is being worked on; try again.'],
};

/** Text that PostgreSQL cannot hold: U+0000, or half of a surrogate pair inside JSON. */
const textUnfit = /^(22021|22P05|22P02 invalid input syntax for type json)$/;

/**
 * SQLSTATE classes and system errors that mean: the database is not there just now, or could not do
 * this in time or beside what others do. The same request may go well in a moment.
 */
const databaseAway = new RegExp(
  '^(08|53|57014|57P0[1-3]|40001|40P01|25P0[34]|' +
    'ECONN|EPIPE|ETIMEDOUT|ENOTFOUND|EAI_AGAIN|EHOSTUNREACH|ENETUNREACH)',
);
/** What the driver says without a code when a connection ends under it, or there is none. */
const connectionEnded = new RegExp(
  '^(timeout exceeded when trying to connect|Connection terminated|' +
    'Client has encountered a connection error)',
);

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

interface DriverError {
  code?: unknown;
  message?: string;
  cause?: unknown;
}

/** What the driver threw, from under what the query builder wraps around it. */
function driverError(error: DriverError): { state: string; message: string } {
  const inner = (error.code === undefined ? error.cause : undefined) as DriverError | undefined;
  const { code, message } = inner ?? error;
  return { state: String(code ?? ''), message: String(message ?? '') };
}

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
  const { state, message } = driverError(error);
  const refused = refusedByDatabase[state];
  if (refused) return new Problem(refused[0], refused[1]);
  if (textUnfit.test(state) || textUnfit.test(`${state} ${message}`)) {
    const code = method === 'GET' ? 'query_invalid' : 'body_invalid';
    return new Problem(code, 'A text holds a character that cannot be kept, such as U+0000.');
  }
  if (databaseAway.test(state) || connectionEnded.test(message)) {
    return new Problem('overloaded', 'The database does not answer in time.', { retryAfterS: 2 });
  }
  if (error.statusCode === 400) {
    return new Problem('body_unreadable', 'The request cannot be read.');
  }
  return new Problem('internal', 'The fault is ours and is logged under this request id.');
}

export function sendProblem(req: FastifyRequest, reply: FastifyReply, problem: Problem) {
  if (problem.status === 401) reply.header('www-authenticate', 'Bearer realm="liftwright"');
  if (problem.retryAfterS !== undefined) reply.header('retry-after', String(problem.retryAfterS));
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
