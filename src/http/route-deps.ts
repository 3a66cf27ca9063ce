import type { ReadingDeps, StreamDirectory } from '../flows/record-readings.ts';
import type { QueuePort } from '../queue/port.ts';

/** What routes are given. */
export interface RouteDeps extends ReadingDeps {
  queue: QueuePort;
  directory: StreamDirectory;
  /** False from the moment that the process begins to stop. */
  isReady(): Promise<boolean>;
  version: string;
}
