import { Problem, type ProblemCode } from './errors.ts';

/** SQLSTATEs that are the caller's business, and what the catalogue calls them. */
const refusedByDatabase: Record<string, [ProblemCode, string]> = {
  '23505': ['already_exists', 'Something with the same name, number or serial exists already.'],
  '23503': ['reference_unknown', 'An id in the request is not known in this fleet.'],
  '23P01': ['install_overlaps', 'It is already somewhere in part of that time.'],
  '55P03': ['request_in_flight', 'The same thing is being worked on; try again.'],
};

/** What a constraint of a table says, where its SQLSTATE alone says too little. */
const refusedByConstraint: Record<string, [ProblemCode, string]> = {
  visit_bay_free: ['visit_overlaps', 'The bay has another unit in part of that time.'],
  visit_unit_once: ['visit_overlaps', 'The unit has another visit in part of that time.'],
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

interface DriverError {
  code?: unknown;
  message?: string;
  constraint?: unknown;
  cause?: unknown;
}

/** What the driver threw, from under what the query builder wraps around it. */
function driverError(error: DriverError) {
  const inner = (error.code === undefined ? error.cause : undefined) as DriverError | undefined;
  const { code, message, constraint } = inner ?? error;
  const text = (value: unknown) => String(value ?? '');
  return { state: text(code), message: text(message), constraint: text(constraint) };
}

/** What the catalogue calls an error of the database or its driver; null when it knows none. */
export function databaseFault(error: DriverError, reading: boolean): Problem | null {
  const { state, message, constraint } = driverError(error);
  const refused = refusedByConstraint[constraint] ?? refusedByDatabase[state];
  if (refused) return new Problem(refused[0], refused[1]);
  if (textUnfit.test(state) || textUnfit.test(`${state} ${message}`)) {
    const code = reading ? 'query_invalid' : 'body_invalid';
    return new Problem(code, 'A text holds a character that cannot be kept, such as U+0000.');
  }
  if (databaseAway.test(state) || connectionEnded.test(message)) {
    return new Problem('overloaded', 'The database does not answer in time.', { retryAfterS: 2 });
  }
  return null;
}
