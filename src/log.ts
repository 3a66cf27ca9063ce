/** What the parts of the service need of a logger; a pino logger is one. */
export interface Log {
  debug(fields: object, message: string): void;
  info(fields: object, message: string): void;
  warn(fields: object, message: string): void;
  error(fields: object, message: string): void;
}

const nothing = (): void => undefined;

/** Drops every line. */
export const silentLog: Log = { debug: nothing, info: nothing, warn: nothing, error: nothing };
