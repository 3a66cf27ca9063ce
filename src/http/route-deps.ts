import type { StreamDirectory } from '../flows/record-readings.ts';
import type { FlowDeps } from '../flows/work.ts';
import type { QueuePort } from '../queue/port.ts';

/** What routes are given. */
export interface RouteDeps extends FlowDeps {
  queue: QueuePort;
  directory: StreamDirectory;
  /** False from the moment that the process begins to stop. */
  isReady(): Promise<boolean>;
  version: string;
}
