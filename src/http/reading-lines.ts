import type { FastifyRequest } from 'fastify';
import { intakeBounds } from '../domain/usage/reading-intake.ts';
import { Problem, problemBody } from '../errors.ts';
import { recordReadings } from '../flows/record-readings.ts';
import { deviceTimeMs } from './device-post.ts';
import { type Line, linesOf } from './lines.ts';
import { toProblem } from './plugins/problems.ts';
import type { RouteDeps } from './route-deps.ts';

export const lineBounds = {
  sentMost: 16 * 1024 * 1024,
  inflatedMost: 64 * 1024 * 1024,
  lineMost: 1024 * 1024,
  linesMost: 5_000,
} as const;
/**
 * What is answered is held until the client has taken it, and bounded: room for the most lines of a
 * stream or two.
 */
const answerBytesMost = 2 * 1024 * 1024;
/** After so long the rest is left for another request. */
const longestMs = 30_000;

/** Backlogs being settled at a time: by a process, and of one gateway. */
const backlogsMost = 100;
const backlogsOfGateway = 16;

/** The backlogs that a process is settling: each holds a body, a connection and its answers. */
export class Backlogs {
  readonly #open: string[] = [];

  /** @throws Problem overloaded */
  async admit<T>(gatewayId: string, settle: () => Promise<T>): Promise<T> {
    const own = this.#open.filter((each) => each === gatewayId).length;
    if (own >= backlogsOfGateway || this.#open.length >= backlogsMost) {
      throw new Problem('overloaded', 'Too many backlogs at a time.', { retryAfterS: 5 });
    }
    this.#open.push(gatewayId);
    try {
      return await settle();
    } finally {
      this.#open.splice(this.#open.indexOf(gatewayId), 1);
    }
  }
}

/** The streams of a body. @throws Problem body_invalid */
export function streamsOf(body: unknown): unknown[] {
  const streams = (body as { streams?: unknown } | null | undefined)?.streams;
  if (typeof body === 'object' && Array.isArray(streams)) return streams;
  throw new Problem('body_invalid', 'The body must be {"streams": [...]}.', {
    errors: [{ path: '/streams', reason: 'must be an array' }],
  });
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    throw new Problem('body_unreadable', 'The line is not valid JSON.');
  }
}

/** Whether the same line may go well a moment later: then the rest waits too. */
const passes = (problem: Problem) => problem.status >= 500;

/**
 * Settles a backlog, one post a line, each durable before the next is read; holds one line at a
 * time. Answers one line for each, in order: what a post of its own would have answered, or its
 * problem. A bad line harms no other. When it ends before the body does, the last line says why and
 * from which line on nothing was taken.
 *
 * @throws Problem when it ended before the first line
 */
export async function settleLines(deps: RouteDeps, req: FastifyRequest): Promise<string> {
  const { fleetId, gatewayId } = req.caller;
  const clockMs = deviceTimeMs(req);
  const begunMs = deps.clock.nowMs();
  /** The device's clock goes on while its lines are settled. */
  const deviceNowMs = () => (clockMs === null ? null : clockMs + deps.clock.nowMs() - begunMs);
  const instance = `${req.url.split('?')[0]}#${req.id}`;
  const enough = new Problem('overloaded', 'Enough for one request: send the rest.', {
    retryAfterS: 1,
  });
  const tooLong = new AbortController();
  const timer = setTimeout(() => tooLong.abort(enough), longestMs);
  const answers: string[] = [];
  let bytes = 0;
  let next = 1;
  const answer = (line: number, said: object) => {
    const text = JSON.stringify({ line, ...said });
    bytes += text.length;
    answers.push(text);
  };
  const stop = (problem: Problem) =>
    answer(next, { problem: problemBody(problem, instance), notTakenFrom: next });

  async function settle({ number, text }: Line): Promise<Problem | null> {
    try {
      const streams = await recordReadings(deps, deps.directory, {
        fleetId,
        gatewayId: gatewayId as string,
        deviceTimeMs: deviceNowMs(),
        streams: streamsOf(parsed(text)),
      });
      answer(number, { streams });
      return null;
    } catch (error) {
      const problem = toProblem(error as never, req.method);
      if (passes(problem)) {
        if (problem.code === 'internal') req.log.error({ err: error }, problem.code);
        return problem;
      }
      answer(number, { problem: problemBody(problem, instance) });
      return null;
    }
  }

  try {
    const gzip = req.headers['content-encoding'] === 'gzip';
    for await (const line of linesOf(req.raw, gzip, lineBounds, tooLong.signal)) {
      next = line.number;
      const failed =
        bytes > answerBytesMost || tooLong.signal.aborted ? enough : await settle(line);
      if (failed) {
        if (answers.length === 0) throw failed;
        stop(failed);
        return `${answers.join('\n')}\n`;
      }
      next = line.number + 1;
    }
  } catch (error) {
    if (!(error instanceof Problem) || answers.length === 0) throw error;
    stop(error);
  } finally {
    clearTimeout(timer);
  }
  if (answers.length === 0) throw new Problem('body_unreadable', 'The body has no lines.');
  return `${answers.join('\n')}\n`;
}

/** How much a request by lines may hold, in words for the contract. */
export const lineBoundsInWords =
  `at most ${lineBounds.linesMost} lines of 1 MiB, ${intakeBounds.readingsPerPost} readings a ` +
  'line, 16 MiB as sent and 64 MiB unpacked';
