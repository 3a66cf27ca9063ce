import { describe, expect, test } from 'vitest';
import { recordKinds } from '../../src/domain/shop/record-kind.ts';
import { useDatabase } from '../helpers/db.ts';

const db = useDatabase();

/** Tables of which no versions are kept, and why the record does without. */
const notKept: Readonly<Record<string, string>> = {
  adjustment: 'use is told by the ledger',
  gateway: 'a device, not the unit; its installs are kept',
  hand_line: 'says only where readings by hand are counted',
  meter_source: 'a projection',
  meter_source_choice: 'about use; in the event history',
  meter_start: 'about use; in the event history',
  record_version: 'the versions themselves',
  unit_mark: 'work that waits',
  unit_standing: 'a projection; told in the event history',
  upkeep_state: 'a projection; told in the event history',
  usage_day: 'a projection',
  usage_entry: 'use is told by the ledger',
  use_until: 'a projection',
};
/** Columns that tie a table to a unit, an asset, or to what is kept of them. */
const ties = ['unit_id', 'asset_id', 'card_id', 'finding_id', 'stop_id', 'life_id', 'symptom_id'];

const rows = async (sql: string, values: unknown[] = []) =>
  (await db.owner.query(sql, values)).rows.map((row) => Object.values(row)[0] as string);
const kept = () =>
  rows(`select c.relname::text from pg_trigger t join pg_class c on c.oid = t.tgrelid
    where t.tgname = 'keep_version' order by 1`);

describe('every version is kept', () => {
  test('of each table that tells of a unit or an asset, or it says here why not', async () => {
    const tied = await rows(
      `select distinct c.relname::text from pg_class c
       join pg_attribute a on a.attrelid = c.oid and a.attname = any ($1)
       where c.relnamespace = 'liftwright'::regnamespace and c.relkind = 'r'
         and not c.relispartition order by 1`,
      [ties],
    );
    const there = await kept();
    const missing = tied.filter((name) => !there.includes(name) && !(name in notKept));
    const help = 'call liftwright.keep_versions in its migration, or add a reason to `notKept`';
    expect(missing, help).toEqual([]);
    expect(Object.keys(notKept).filter((name) => there.includes(name))).toEqual([]);
  });

  test('and each kept table is shown by itself, or belongs to one that is', async () => {
    const parts = await rows(
      `select c.relname::text from pg_trigger t join pg_class c on c.oid = t.tgrelid
       where t.tgname = 'keep_version'
         and split_part(encode(t.tgargs, 'escape'), '\\000', 2) <> ''`,
    );
    const alone = (await kept()).filter((name) => !parts.includes(name));
    expect(alone.filter((name) => name !== 'yard' && !(name in recordKinds))).toEqual([]);
    expect(parts.length).toBeGreaterThan(3);
  });

  test('nothing of it can be changed or taken away', async () => {
    const rights = await rows(
      `select privilege_type from information_schema.role_table_grants
       where table_schema = 'liftwright' and table_name = 'record_version'
         and grantee = 'lw_app' order by 1`,
    );
    expect(rights).toEqual(['INSERT', 'SELECT']);
  });
});
