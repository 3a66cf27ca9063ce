import pg from 'pg';
import { makeGateways } from './fleet.ts';
import type { Running } from './process.ts';

const streamsCount = 10;
const dayMs = 86_400_000;
const minuteMs = 60_000;
const days = 30;
/** Readings of a day, one a minute; of one and a fraction for whole posts of 500. */
const perDay = 1_440;
const perPosts = 1_500;

/** A month of its own for each way, so that each is measured alone. */
const months = {
  long: Date.UTC(2020, 0, 1),
  single: Date.UTC(2020, 2, 1),
  joined: Date.UTC(2020, 4, 1),
};

/**
 * Readings of a gateway that reads an hour counter once a minute, give or take a second, and rises
 * by one tick of 0.05 h every third minute of a third of the day; each arrives within 4 s.
 */
const readingsSql = `select s.stream_id, $3::bigint + g as seq,
    $2::bigint + g * 60000 + (random() * 1000)::int as at_ms,
    (($2::bigint / 60000 + g) / 1440) * 160 + least(($2::bigint / 60000 + g) % 1440, 480) / 3
      as raw,
    $2::bigint + g * 60000 + 2000 + (random() * 2000)::int as received_ms
  from unnest($1::bigint[]) s (stream_id), generate_series(0, $4::int - 1) g`;

const insertRuns = `insert into liftwright.reading_run (fleet_id, stream_id, first_seq, last_seq,
    received_at, offset_ms, first_at_ms, first_raw, at_steps, raw_steps)`;

/** One row a reading, in order of arrival, as posts of single readings leave them. */
const singlesSql = `${insertRuns}
  select 1, stream_id, seq, seq, to_timestamp(received_ms / 1000.0), 0, at_ms, raw, '{}', '{}'
  from (${readingsSql}) r order by received_ms`;

/** Rows of 500 readings, each posted as its last was read. */
const runsSql = `${insertRuns}
  select 1, stream_id, min(seq), max(seq), to_timestamp(max(received_ms) / 1000.0), 0,
    (array_agg(at_ms order by seq))[1], (array_agg(raw order by seq))[1],
    (array_agg((at_ms - before_ms)::int order by seq))[2:],
    (array_agg((raw - before_raw)::int order by seq))[2:]
  from (select *, lag(at_ms) over w as before_ms, lag(raw) over w as before_raw
    from (${readingsSql}) r window w as (partition by stream_id order by seq)) r
  group by stream_id, (seq - $3::bigint) / 500 order by max(received_ms)`;

const keyedSql = `insert into bench.keyed
  select 1, stream_id, seq, at_ms, raw, to_timestamp(received_ms / 1000.0)
  from (${readingsSql}) r order by received_ms`;

class Sizes {
  readonly #owner: pg.Client;
  readonly #streams: number[];

  constructor(owner: pg.Client, streams: number[]) {
    this.#owner = owner;
    this.#streams = streams;
  }

  async #total(table: string): Promise<number> {
    await this.#owner.query(`vacuum ${table}`);
    const { rows } = await this.#owner.query('select pg_total_relation_size($1::regclass) as n', [
      table,
    ]);
    return Number(rows[0].n);
  }

  async #table(monthMs: number): Promise<string> {
    const { rows } = await this.#owner.query(
      `select 'liftwright.reading_run_' || to_char(to_timestamp($1::float8 / 1000)
         at time zone 'UTC', 'YYYYMM') as name,
         liftwright.ensure_reading_partitions(to_timestamp($1::float8 / 1000),
           to_timestamp($1::float8 / 1000))`,
      [monthMs],
    );
    return rows[0].name;
  }

  /**
   * Bytes a reading of thirty days written day by day, each followed by `after` and a plain vacuum.
   */
  async measure(
    sql: string,
    monthMs: number,
    into: string | null,
    atOnce = perDay,
    after: (dayStartMs: number) => Promise<void> = async () => undefined,
  ): Promise<number> {
    const table = into ?? (await this.#table(monthMs));
    const times = Math.floor((days * perDay) / atOnce);
    for (let time = 0; time < times; time += 1) {
      const startMs = monthMs + time * atOnce * minuteMs;
      await this.#owner.query(sql, [this.#streams, startMs, startMs / minuteMs, atOnce]);
      await after(startMs);
      await this.#owner.query(`vacuum ${table}`);
    }
    for (let day = days; day < days + 3; day += 1) await after(monthMs + day * dayMs);
    return (await this.#total(table)) / (times * atOnce * this.#streams.length);
  }

  /** What the job `compact` does at the end of a day. */
  async compact(dayStartMs: number): Promise<void> {
    for (const stream of this.#streams) {
      await this.#owner.query(
        `select liftwright.compact_runs(1, $1, to_timestamp($2::float8 / 1000), -1, 20000)`,
        [stream, dayStartMs - dayMs],
      );
    }
  }
}

export interface ByteFigures {
  bytes_keyed_reading: number;
  bytes_run_reading: number;
  bytes_over_keyed: number;
  bytes_single_post_reading: number;
  bytes_single_post_compacted: number;
}

/**
 * Bytes on disk a reading, with indexes and TOAST, as they were written and plainly vacuumed: in
 * posts of 500, in posts of one, in posts of one with the nightly joining, and in the plain table
 * of one row a reading with primary key (fleet, stream, seq).
 */
export async function bytesFigures(service: Running, ownerUrl: string): Promise<ByteFigures> {
  await makeGateways(service.url, streamsCount, 'bytes');
  const owner = new pg.Client({ connectionString: ownerUrl });
  await owner.connect();
  try {
    await owner.query(`drop schema if exists bench cascade; create schema bench;
      create table bench.keyed (fleet_id int, stream_id bigint, seq bigint, at_ms bigint not null,
        raw bigint not null, received_at timestamptz not null,
        primary key (fleet_id, stream_id, seq));
      select setseed(0.5)`);
    const { rows } = await owner.query(
      `select stream_id::float8 as id from liftwright.stream s join liftwright.counter c
         using (fleet_id, counter_id)
       join liftwright.gateway g using (fleet_id, gateway_id)
       where fleet_id = 1 and g.serial like 'bytes-%'`,
    );
    const sizes = new Sizes(
      owner,
      rows.map((row) => row.id),
    );
    const keyed = await sizes.measure(keyedSql, months.long, 'bench.keyed', perPosts);
    const long = await sizes.measure(runsSql, months.long, null, perPosts);
    const joined = await sizes.measure(singlesSql, months.joined, null, perDay, (startMs) =>
      sizes.compact(startMs),
    );
    // Last: the joining above would find these too.
    const single = await sizes.measure(singlesSql, months.single, null);
    await owner.query('drop schema bench cascade');
    return {
      bytes_keyed_reading: keyed,
      bytes_run_reading: long,
      bytes_over_keyed: long / keyed,
      bytes_single_post_reading: single,
      bytes_single_post_compacted: joined,
    };
  } finally {
    await owner.end();
  }
}
