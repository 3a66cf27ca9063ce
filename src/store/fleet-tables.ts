import type { Tx } from './tx.ts';

/** A table that holds rows of fleets, as the catalogue knows it. */
export interface FleetTable {
  name: string;
  columns: string[];
  /** Columns of its primary key, in order. */
  key: string[];
}

/** Every table with a fleet_id, so that none that is added later is forgotten; no partitions. */
export async function fleetTables(tx: Tx): Promise<FleetTable[]> {
  const { rows } = await tx.query(
    `select c.relname::text as name,
       (select array_agg(a.attname::text order by a.attnum) from pg_attribute a
         where a.attrelid = c.oid and a.attnum > 0 and not a.attisdropped) as columns,
       (select array_agg(a.attname::text order by k.place) from pg_index i
         cross join unnest(i.indkey) with ordinality as k (attnum, place)
         join pg_attribute a on a.attrelid = i.indrelid and a.attnum = k.attnum
         where i.indrelid = c.oid and i.indisprimary) as key
     from pg_class c join pg_namespace n on n.oid = c.relnamespace
     where n.nspname = 'liftwright' and c.relkind in ('r', 'p') and not c.relispartition
       and exists (select 1 from pg_attribute a
         where a.attrelid = c.oid and a.attname = 'fleet_id' and not a.attisdropped)
     order by c.relname`,
  );
  return rows as FleetTable[];
}

/** A name from the catalogue, quoted. */
const quoted = (name: string): string => `"${name.replaceAll('"', '""')}"`;
const tableName = (name: string): string => `liftwright.${quoted(name)}`;

/** Rows of a fleet in a table. */
export async function countRows(tx: Tx, fleetId: number, table: string): Promise<number> {
  const { rows } = await tx.query(
    `select count(*)::float8 as n from ${tableName(table)} where fleet_id = $1`,
    [fleetId],
  );
  return rows[0].n;
}

/**
 * The rows of a fleet in a table as JSON texts, in order of the key, `atOnce` in memory at a time.
 * Needs a transaction that stays open; it must not read another table so meanwhile.
 */
export async function* rowTexts(
  tx: Tx,
  fleetId: number,
  table: { name: string; columns: readonly string[]; key: readonly string[] },
  atOnce: number,
): AsyncGenerator<string[]> {
  const columns = table.columns.map(quoted).join(', ');
  await tx.query(
    `declare export_rows no scroll cursor for select row_to_json(r)::text as line from (
       select ${columns} from ${tableName(table.name)} where fleet_id = $1
       order by ${table.key.map(quoted).join(', ')}) r`,
    [fleetId],
  );
  try {
    for (;;) {
      const { rows } = await tx.query(`fetch ${Number(atOnce)} from export_rows`);
      if (rows.length > 0) yield rows.map((row) => row.line);
      if (rows.length < atOnce) break;
    }
  } finally {
    await tx.query('close export_rows').catch(() => undefined);
  }
}
