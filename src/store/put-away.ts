import type pg from 'pg';

/** The months that readings can be in, as their first instants in UTC, ascending. */
export async function readingMonths(scheduler: pg.Pool): Promise<number[]> {
  const { rows } = await scheduler.query(
    'select (extract(epoch from month) * 1000)::float8 as ms from liftwright.reading_months()',
  );
  return rows.map((row) => row.ms);
}

/**
 * Gives a line a cut behind all readings that arrived before a time; see the SQL function. Null: it
 * stands; else why it cannot be yet.
 */
export async function cutLine(
  scheduler: pg.Pool,
  fleetId: number,
  lineId: number,
  toMs: number,
): Promise<string | null> {
  const { rows } = await scheduler.query(
    'select liftwright.cut_line($1, $2, to_timestamp($3::float8 / 1000)) as why',
    [fleetId, lineId, toMs],
  );
  return rows[0].why;
}

/** Detaches a month of readings that are all behind a cut. Null: done; else why it cannot be. */
export async function detachMonth(
  scheduler: pg.Pool,
  monthMs: number,
  nowMs: number,
): Promise<string | null> {
  const { rows } = await scheduler.query(
    `select liftwright.detach_readings(
       to_timestamp($1::float8 / 1000), to_timestamp($2::float8 / 1000)) as why`,
    [monthMs, nowMs],
  );
  return rows[0].why;
}
