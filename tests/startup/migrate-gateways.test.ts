import { copyFile, mkdtemp, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { connectOwner } from '../../db/connect.ts';
import { migrate } from '../../db/migrate.ts';
import { silentLog } from '../../src/log.ts';
import { bareDatabase } from '../helpers/db.ts';

const source = new URL('../../db/migrations/', import.meta.url).pathname;
let database: Awaited<ReturnType<typeof bareDatabase>>;
let folder = '';
beforeAll(async () => {
  database = await bareDatabase();
  folder = await mkdtemp(join(tmpdir(), 'lw-migrations-'));
});
afterAll(async () => {
  await database.drop();
  await rm(folder, { recursive: true });
});

test('gateways of before are looked at once their health is known of', async () => {
  for (const file of await readdir(source)) {
    if (/^\d{4}_.*\.sql$/.test(file) && file < '0016')
      await copyFile(source + file, join(folder, file));
  }
  await migrate(database.ownerUrl, { log: silentLog, folder });
  const owner = await connectOwner(database.ownerUrl, { log: silentLog });
  try {
    const id = (n: number) => `01900000-0000-7000-8000-00000000000${n}`;
    await owner.query(
      `insert into liftwright.fleet (fleet_id, name, created_at)
         values (1, 'One', 'epoch'), (2, 'Two', 'epoch');
       insert into liftwright.gateway (fleet_id, gateway_id, serial, created_at)
         values (1, '${id(1)}', 'G-1', 'epoch'), (2, '${id(1)}', 'G-1', 'epoch'),
           (2, '${id(2)}', 'G-2', 'epoch')`,
    );
    await migrate(database.ownerUrl, { log: silentLog });
    const { rows } = await owner.query(
      `select fleet_id, count(*)::int as gateways, bool_and(check_at = 'epoch') as due
       from liftwright.gateway_health group by 1 order by 1`,
    );
    expect(rows).toEqual([
      { fleet_id: 1, gateways: 1, due: true },
      { fleet_id: 2, gateways: 2, due: true },
    ]);
  } finally {
    await owner.end();
  }
});
