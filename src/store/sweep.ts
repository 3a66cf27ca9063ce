import type pg from 'pg';
import { fleetsWithOutbox } from './event.ts';

export interface WaitingWork {
  fold: number[];
  assess: number[];
  watch: number[];
  /** Fleets with events to number. */
  sequence: number[];
  /** How many marks and events wait in all, up to a bound. */
  waiting: number;
}

/** Where work waits, whatever became of its wake-up call. */
export async function waitingWork(scheduler: pg.Pool, nowMs: number): Promise<WaitingWork> {
  const shards = async (text: string, values: unknown[] = []) =>
    (await scheduler.query(text, values)).rows.map((row) => row.shard as number);
  const fold = await shards('select distinct shard from liftwright.line_mark');
  const marked = await shards('select distinct shard from liftwright.unit_mark');
  const due = await shards(
    `select distinct shard from liftwright.unit_standing
     where next_check_at <= to_timestamp($1::float8 / 1000)`,
    [nowMs],
  );
  const watch = await shards(
    `select distinct shard from liftwright.gateway_health
     where check_at <= to_timestamp($1::float8 / 1000)`,
    [nowMs],
  );
  const sequence = await fleetsWithOutbox(scheduler);
  const assess = [...new Set([...marked, ...due])];
  return {
    fold,
    assess,
    watch,
    sequence,
    waiting: fold.length + assess.length + watch.length + sequence.length,
  };
}

/** All fleets, for housekeeping. */
export async function allFleets(scheduler: pg.Pool): Promise<number[]> {
  const { rows } = await scheduler.query('select fleet_id from liftwright.fleet order by fleet_id');
  return rows.map((row) => row.fleet_id);
}

/** Makes the monthly partitions of readings from..to; answers how many were made. */
export async function ensurePartitions(
  scheduler: pg.Pool,
  fromMs: number,
  toMs: number,
): Promise<number> {
  const { rows } = await scheduler.query(
    `select liftwright.ensure_reading_partitions(
       to_timestamp($1::float8 / 1000), to_timestamp($2::float8 / 1000)) as made`,
    [fromMs, toMs],
  );
  return rows[0].made;
}
