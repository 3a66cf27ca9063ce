import { and, asc, eq, gt, sql } from 'drizzle-orm';
import { expect, test } from 'vitest';
import { unitYard } from '../../db/schema/index.ts';
import { firstOfEach } from '../../src/store/of-each.ts';
import { withFleet } from '../../src/store/pool.ts';
import { useDatabase } from '../helpers/db.ts';

const db = useDatabase();
const id = (n: number) => `01900000-0000-7000-8000-${String(n).padStart(12, '0')}`;

test('of each parent the first rows in order, each value as it is kept', async () => {
  const at = `'2026-01-01T00:00:00Z'`;
  await db.owner.query(`
    insert into liftwright.fleet (fleet_id, name, created_at) overriding system value
      values (1, 'A', ${at});
    insert into liftwright.yard (fleet_id, yard_id, name, time_zone, created_at)
      values (1, '${id(9)}', 'Y', 'UTC', ${at});
    insert into liftwright.unit (fleet_id, unit_id, number, created_at)
      select 1, ('${id(0).slice(0, -2)}' || lpad(n::text, 2, '0'))::uuid, n::text, ${at}
      from generate_series(1, 3) n;
    insert into liftwright.unit_yard (fleet_id, unit_id, role, yard_id, during)
      select 1, u.unit_id, 'home', '${id(9)}', tstzrange(
        timestamptz '2026-01-01T00:00Z' + n * interval '1 day',
        timestamptz '2026-01-01T00:00Z' + (n + 1) * interval '1 day')
      from liftwright.unit u, generate_series(1, 5) n where u.number <> '3'`);
  const read = (limit: number, afterMs = 0) =>
    withFleet(db.pools.app, [1], (tx) =>
      firstOfEach(tx, unitYard, [id(2), id(1), id(3), id(1)], {
        where: (parent) =>
          and(
            eq(unitYard.fleetId, 1),
            sql`${unitYard.unitId} = ${parent}`,
            gt(sql`lower(${unitYard.during})`, sql`to_timestamp(${afterMs}::float8 / 1000)`),
          ),
        order: [asc(sql`lower(${unitYard.during})`)],
        limit,
      }),
    );
  const day = (n: number) => Date.UTC(2026, 0, n);
  const found = await read(2);
  expect([...found.keys()].sort()).toEqual([id(1), id(2)]);
  for (const unitId of [id(1), id(2)]) {
    expect(found.get(unitId)).toEqual(
      [2, 3].map((n) => ({
        fleetId: 1,
        unitId,
        role: 'home',
        yardId: id(9),
        during: { fromMs: day(n), toMs: day(n + 1) },
      })),
    );
  }
  const later = (await read(9, day(4))).get(id(1));
  expect(later?.map((row) => row.during.fromMs)).toEqual([day(5), day(6)]);
  expect(
    await withFleet(db.pools.app, [2], (tx) =>
      firstOfEach(tx, unitYard, [id(1)], {
        where: (parent) => sql`${unitYard.unitId} = ${parent}`,
        order: [asc(unitYard.yardId)],
        limit: 9,
      }),
    ),
  ).toEqual(new Map());
});
