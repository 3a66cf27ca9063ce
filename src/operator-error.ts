/**
 * A failure that whoever runs the process can mend: the message alone says how, so it is told
 * without a stack.
 */
export class OperatorError extends Error {
  override name = 'OperatorError';
}

/** Says on standard error why the process cannot go on. */
export function reportFailure(error: unknown): void {
  process.stderr.write(`${textOf(error)}\n`);
}

function textOf(error: unknown): string {
  if (!(error instanceof Error)) return String(error);
  // Node's own words about an option that does not exist say what to mend, too.
  const { code } = error as { code?: unknown };
  const plain = error instanceof OperatorError || String(code).startsWith('ERR_PARSE_ARGS_');
  return plain ? error.message : (error.stack ?? error.message);
}
