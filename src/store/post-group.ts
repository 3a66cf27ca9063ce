import type pg from 'pg';
import { encodeInt8Array, encodeSteps } from './int-array.ts';
import type { Contact, StreamRun } from './reading.ts';

/** A plain post: runs in ascending order of stream id, one a stream. */
export interface PlainPost {
  contact: Contact;
  runs: readonly StreamRun[];
}

/**
 * Stores plain posts of different gateways, of one or many fleets, in one round trip and one
 * transaction; see the SQL function. Answers for each post the numbers settled per stream, as
 * multirange text, or null when nothing of it was written: a number was known already, or somebody
 * else has a row of it locked. When it throws, nothing of any post was written.
 */
export async function recordPostGroup(
  batcher: pg.Pool,
  posts: readonly PlainPost[],
): Promise<(Map<number, string> | null)[]> {
  const runs = posts.flatMap((post, i) => post.runs.map((run) => ({ member: i + 1, run })));
  const of = (value: (run: StreamRun) => number) =>
    encodeInt8Array(runs.map(({ run }) => value(run)));
  const offsets = posts.map(({ contact }) => contact.deviceOffsetMs);
  const { rows } = await batcher.query({
    name: 'record_post_group',
    text: `select member, stream_id, seen from liftwright.record_post_group(
             $1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
    values: [
      posts.map(({ contact }) => contact.fleetId),
      posts.map(({ contact }) => contact.gatewayId),
      encodeInt8Array(posts.map(({ contact }) => contact.receivedAtMs)),
      offsets,
      runs.map(({ member }) => member),
      of((run) => run.stream.streamId),
      of((run) => run.firstSeq),
      runs.map(({ run }) => run.raw.length),
      of((run) => run.offsetMs),
      of((run) => run.at[0] as number),
      of((run) => run.raw[0] as number),
      encodeSteps(runs.map(({ run }) => run.at)),
      encodeSteps(runs.map(({ run }) => run.raw)),
      runs.map(({ run }) => run.stream.shard),
    ],
  });
  const stored: (Map<number, string> | null)[] = posts.map(() => null);
  for (const row of rows) {
    const seen = stored[row.member - 1] ?? new Map<number, string>();
    stored[row.member - 1] = seen;
    seen.set(Number(row.stream_id), row.seen);
  }
  return stored;
}
