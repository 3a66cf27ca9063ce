import type { FastifyBaseLogger } from 'fastify';
import type { GraphQLError, GraphQLFormattedError } from 'graphql';
import { databaseFault } from '../database-fault.ts';
import { Problem } from '../errors.ts';

/** What an error was before GraphQL, and the compiler of queries, wrapped it. */
function original(error: GraphQLError): Error | null {
  let inner: Error | undefined = error.originalError;
  while (inner && 'originalError' in inner && inner.originalError instanceof Error) {
    inner = inner.originalError;
  }
  return inner ?? null;
}

/** The member of the catalogue that an error of a field is. */
function problemOf(error: GraphQLError): Problem {
  const cause = original(error);
  if (cause instanceof Problem) return cause;
  const fault = cause && databaseFault(cause, true);
  if (fault) return fault;
  return new Problem('internal', 'The fault is ours and is logged under this request id.');
}

/** One fault may befall every row of an answer: the first ones tell what it is. */
const errorsTold = 100;

/** Errors as they are told: refusals by their code; faults of ours are logged, never told. */
export function masked(
  errors: readonly GraphQLError[],
  log: FastifyBaseLogger,
  requestId: string,
): GraphQLFormattedError[] {
  return errors.slice(0, errorsTold).map((error) => {
    const problem = problemOf(error);
    if (problem.status >= 500) log.error({ err: original(error) ?? error }, problem.code);
    return {
      message: problem.detail,
      ...(error.locations ? { locations: error.locations } : {}),
      ...(error.path ? { path: error.path } : {}),
      extensions: {
        code: problem.code,
        requestId,
        ...(problem.retryAfterS === undefined ? {} : { retryAfterSeconds: problem.retryAfterS }),
      },
    };
  });
}
