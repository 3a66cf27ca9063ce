/**
 * Places beside each commit where a test may end this process as a power cut would. They do
 * nothing until one is armed, and only the entry file of the crash tests arms one: nothing in the
 * service reads the environment or a request for it.
 */
export const crashPoints = [
  /** A post of new readings is one statement: before it is sent, and when it has been answered. */
  'plain_post.before_statement',
  'plain_post.after_statement',
  /** Plain posts of several gateways are one statement too. */
  'post_group.before_statement',
  'post_group.after_statement',
  /** A post that is compared with what is stored. */
  'compared_post.before_commit',
  'compared_post.after_commit',
  'fold.segments_written',
  'fold.before_commit',
  'fold.after_commit',
  'assess.before_commit',
  'assess.after_commit',
  'sequence.events_inserted',
  'sequence.before_commit',
  'sequence.after_commit',
  /** A request with an Idempotency-Key. */
  'request.before_commit',
  'request.after_commit',
  /** Any transaction of work: its events written, and committed but nobody woken yet. */
  'work.before_commit',
  'work.after_commit',
] as const;
export type CrashPoint = (typeof crashPoints)[number];

let armed: { point: CrashPoint; left: number } | null = null;

/** Ends the process at the nth time from now on that it comes by this point; once, for tests. */
export function armCrashPoint(point: CrashPoint, nth: number): void {
  armed = { point, left: nth };
}

export function crashPoint(point: CrashPoint): void {
  if (armed === null || armed.point !== point) return;
  armed.left -= 1;
  if (armed.left === 0) process.kill(process.pid, 'SIGKILL');
}
