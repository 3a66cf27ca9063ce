import type pg from 'pg';

/** Streams of a fleet after a stream whose runs of before a UTC midnight are not joined yet. */
export async function streamsToCompact(
  scheduler: pg.Pool,
  fleetId: number,
  beforeMs: number,
  afterStream: number,
  most: number,
): Promise<number[]> {
  const { rows } = await scheduler.query(
    `select stream_id from liftwright.streams_to_compact(
       $1, to_timestamp($2::float8 / 1000), $3, $4)`,
    [fleetId, beforeMs, afterStream, most],
  );
  return rows.map((row) => Number(row.stream_id));
}

export interface Compacted {
  /** Rows fewer. */
  gone: number;
  /** The number to go on after; null: nothing is left to do on this stream now. */
  goOnAfter: number | null;
}

/**
 * Joins at most `most` small runs of a stream that arrived before a UTC midnight, in a transaction
 * of its own.
 */
export async function compactRuns(
  scheduler: pg.Pool,
  fleetId: number,
  streamId: number,
  beforeMs: number,
  after: number,
  most: number,
): Promise<Compacted> {
  const { rows } = await scheduler.query(
    `select gone, go_on_after from liftwright.compact_runs(
       $1, $2, to_timestamp($3::float8 / 1000), $4, $5)`,
    [fleetId, streamId, beforeMs, after, most],
  );
  const next = rows[0].go_on_after;
  return { gone: rows[0].gone, goOnAfter: next === null ? null : Number(next) };
}
