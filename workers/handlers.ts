import type { FlowDeps } from '../src/flows/work.ts';
import type { JobHandlers } from '../src/queue/port.ts';
import { assess } from './assess.ts';
import { compact } from './compact.ts';
import { fold } from './fold.ts';
import { leave } from './leave.ts';
import { partitions } from './partitions.ts';
import { sequence } from './sequence.ts';
import { sweepMarks } from './sweep.ts';
import { watch } from './watch.ts';

/** Every job by name. */
export function jobHandlers(deps: FlowDeps): JobHandlers {
  return {
    fold: fold(deps),
    assess: assess(deps),
    watch: watch(deps),
    sequence: sequence(deps),
    sweep: sweepMarks(deps),
    partitions: partitions(deps),
    leave: leave(deps),
    compact: compact(deps),
  };
}
