import fc from 'fast-check';
import { beforeAll, expect, test } from 'vitest';
import { sheetNames, sheets } from '../../src/domain/import/sheet-columns.ts';
import { useApp } from '../helpers/app.ts';
import { FleetBuilder, greaseTask } from '../helpers/fleet.ts';

const app = useApp();
let fleet: FleetBuilder;
beforeAll(async () => {
  fleet = new FleetBuilder(app);
  await fleet.pattern(greaseTask);
});

/** What people and spreadsheets put into cells, sound and not. */
const cell = fc.oneof(
  fc.constantFrom('North', 'UTC', '12', 'lift', 'winch', 'L-1', 'G-1', 'Crossbar wheel lift', '1'),
  fc.constantFrom('pto_hours', 'grease', '2026-01-01', '2026-02-01 10:00', '1,240', '100.5', 'yes'),
  fc.constantFrom('', ' ', '"', '""', '\n', ';', '=1+1', '\u0000', '\ud800', '\ufeff', '💡'),
  fc.string({ maxLength: 8 }),
);
const quoted = (text: string) => `"${text.replaceAll('"', '""')}"`;

/** Rows that fit together, more or less; columns in the order of the template. */
const few = (word: string) => fc.constantFrom(`${word}1`, `${word}2`, `${word}3`);
const blank = fc.constant('');
const lift = [fc.constant('lift'), few('L')];
const moment = fc.constantFrom('2026-01-01', '2026-02-01 10:00', '2026-02-01T10:00:00Z');
const hours = fc.constantFrom('100.5', '1240,5', '20');
const sound: Record<(typeof sheetNames)[number], fc.Arbitrary<string>[]> = {
  yards: [few('Y'), fc.constantFrom('UTC', 'America/Chicago')],
  units: [few('U'), few('Y'), blank, few('note ')],
  assets: [...lift, fc.constantFrom('', 'Crossbar wheel lift'), blank],
  gateways: [few('G'), few('note ')],
  installs: [few('U'), ...lift, blank, moment, blank, blank],
  startingValues: [...lift, fc.constant('pto_hours'), hours, moment],
  lastDone: [
    ...lift,
    fc.constant('grease'),
    moment,
    fc.constantFrom('yes', ''),
    blank,
    blank,
    blank,
  ],
};

const sheetOf = (name: (typeof sheetNames)[number]) => {
  const { columns } = sheets[name];
  const odd = fc.array(cell, { minLength: 1, maxLength: columns.length + 1 });
  const row = fc.oneof(
    {
      weight: 20,
      arbitrary: fc.tuple(...sound[name]).map((cells) => cells.map(quoted).join(',')),
    },
    { weight: 1, arbitrary: odd.map((cells) => cells.map(quoted).join(',')) },
    { weight: 1, arbitrary: odd.map((cells) => cells.join(',')) },
  );
  const header = columns.map((column) => column.name).join(',');
  return fc.array(row, { maxLength: 2 }).map((rows) => [header, ...rows].join('\r\n'));
};
const anySheets = fc.record(Object.fromEntries(sheetNames.map((name) => [name, sheetOf(name)])), {
  requiredKeys: ['yards'],
});

async function everything(): Promise<unknown[]> {
  const found: unknown[] = [];
  for (const table of ['yard', 'unit', 'asset', 'gateway', 'install', 'meter_start', 'task_done']) {
    const { rows } = await app.db.owner.query(
      `select t::text as row from liftwright.${table} t order by 1`,
    );
    found.push(table, ...rows.map(({ row }) => row));
  }
  return found;
}

test('whatever the sheets: a report, never a half, and the dry run is right', async () => {
  let broughtIn = 0;
  await fc.assert(
    fc.asyncProperty(anySheets, async (given) => {
      const before = await everything();
      const dry = await fleet.client.post('/v1/imports', { dryRun: true, ...given });
      expect(dry.status).toBe(200);
      expect(await everything()).toEqual(before);
      const real = await fleet.client.post('/v1/imports', { dryRun: false, ...given });
      expect(real.status).toBe(dry.body.faultless ? 200 : 422);
      if (!dry.body.faultless) {
        expect(await everything()).toEqual(before);
        return;
      }
      broughtIn += 1;
      expect(real.body.sheets).toEqual(dry.body.sheets);
      const again = await fleet.client.post('/v1/imports', { dryRun: false, ...given });
      expect(again.body.changes).toEqual([]);
      for (const counts of Object.values<{ create: number }>(again.body.sheets)) {
        expect(counts.create).toBe(0);
      }
    }),
    { numRuns: 150 },
  );
  expect(broughtIn).toBeGreaterThan(0);
});
