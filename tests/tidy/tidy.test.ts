import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { badHabits, longFunctions, tooLong } from './habits.ts';
import { codeOnly, readSources, root } from './source.ts';

const all = readSources(['src', 'db', 'workers', 'openapi', 'tests']);
/** Without the one file that nobody writes: the client, made from the contract. */
const code = new Map([...all].filter(([path]) => path !== 'openapi/client.ts'));
const sql = readSources(['db'], /\.sql$/);

describe('tidy', () => {
  test('files have at most 400 lines, lines at most 100 columns', () => {
    expect(code.size).toBeGreaterThan(20);
    expect(tooLong(code)).toEqual([]);
  });

  test('functions have at most 70 lines', () => {
    expect(longFunctions(code)).toEqual([]);
  });

  test('no bad habits', () => {
    expect(sql.size).toBeGreaterThanOrEqual(5);
    expect(badHabits(new Map([...code, ...sql]))).toEqual([]);
  });

  test('src, db, workers and tests say what is in them', () => {
    const missing = ['src', 'db', 'workers', 'tests'].filter(
      (folder) => !existsSync(join(root, folder, 'README.md')),
    );
    expect(missing, 'folders without a README.md').toEqual([]);
  });

  test('the top level holds only what the design names', () => {
    const named = new Set(
      [
        ['README.md', 'DEVELOPERS.md', 'package.json', 'tsconfig.json', 'docker-compose.yml'],
        ['src', 'db', 'workers', 'openapi', 'tests'],
        ['package-lock.json', 'LICENSE', 'CHANGELOG.md'],
        // ignored by git: what was installed, and the data of a start without DATABASE_URL
        ['node_modules', 'data', 'coverage'],
      ].flat(),
    );
    const others = readdirSync(root).filter((name) => !named.has(name) && !name.startsWith('.'));
    expect(others).toEqual([]);
  });
});

const checksums = 'tests/fixtures/migrations.sha256';
const update = `(cd db/migrations && sha256sum *.sql) > ${checksums}`;

/** What is wrong with the recorded checksums, given the files and the list of `sha256sum`. */
function checksumFaults(files: ReadonlyMap<string, string>, recorded: string): string[] {
  const known = new Map<string, string>();
  for (const line of recorded.split('\n')) {
    const match = /^([0-9a-f]{64}) [ *](\S+)$/.exec(line);
    if (match) known.set(match[2]!, match[1]!);
  }
  const faults: string[] = [];
  for (const [name, text] of files) {
    const sum = createHash('sha256').update(text).digest('hex');
    if (!known.has(name)) faults.push(`${name} has no recorded checksum; run: ${update}`);
    else if (known.get(name) !== sum) {
      faults.push(`${name} changed: write a new migration (if it was never released, ${update})`);
    }
    known.delete(name);
  }
  for (const name of known.keys()) faults.push(`${name} is recorded but gone`);
  return faults;
}

test('released migrations never change', () => {
  const files = new Map(
    [...sql]
      .filter(([file]) => file.startsWith('db/migrations/'))
      .map(([f, t]) => [f.slice(14), t]),
  );
  const file = join(root, checksums);
  const recorded = existsSync(file) ? readFileSync(file, 'utf8') : '';
  expect(checksumFaults(files, recorded)).toEqual([]);
});

describe('these tests can fail', () => {
  const faultsOf = (file: string, text: string) => badHabits(new Map([[file, text]]));

  test.each([
    ['src/flows/a.ts', `// ${'TO'}${'DO'}: later`],
    ['tests/flows/a.test.ts', `const a = '${'FIX'}${'ME'}';`],
    ['src/flows/a.ts', "console.log('x');"],
    ['src/store/a.ts', 'const a = process.env.PORT;'],
    ['db/a.ts', "const a = process['env'];"],
    ['src/flows/a.ts', 'const a = new Date();'],
    ['src/flows/a.ts', 'const a = new Date;'],
    ['src/flows/a.ts', 'const a = Date();'],
    ['workers/a.ts', 'const a = [1].map(Date.now);'],

    ['src/domain/a.ts', 'const a = Temporal.Now.instant();'],
    ['src/store/a.ts', 'const a = `select now()`;'],
    ['src/flows/a.ts', 'const a = process.hrtime();'],
    ['workers/a.ts', 'const a = performance.now();'],
    ['src/store/a.ts', 'const a = `set liftwright.fleets = 1`;'],
    ['db/migrations/0001_a.sql', 'create table a (at timestamptz default CURRENT_TIMESTAMP);'],
    ['src/domain/a.ts', 'const a = Math.random();'],
    ['src/domain/a.ts', "import { randomBytes } from 'node:crypto';"],
  ])('bad habit in %s: %s', (file, text) => {
    expect(faultsOf(file, text)).toHaveLength(1);
    expect(faultsOf(file, `\n${text}`)[0]).toContain(`${file}:2 `);
  });

  test.each([
    ['src/main.ts', "console.log('x');"],
    ['src/config.ts', 'const a = process.env;'],
    ['src/clock.ts', 'const a = Date.now();'],
    ['src/flows/a.ts', "const a = new Date(ms); // not new Date()\nconst b = 'Date.now';"],
    ['src/store/a.ts', 'const a = Date.UTC(2026, 1); const b = nowMs();'],
    ['db/migrations/0001_a.sql', '-- no now() here'],
  ])('no fault in %s: %s', (file, text) => {
    expect(faultsOf(file, text)).toEqual([]);
  });

  test('too long files, lines and functions', () => {
    const body = '  a();\n'.repeat(70);
    const long = new Map([
      ['src/a.ts', 'a\n'.repeat(401)],
      ['src/b.ts', `${'é'.repeat(100)}\n${'é'.repeat(101)}\n`],
      ['src/c.ts', `if (a) {\n${body}}\n`],
      ['src/d.ts', `export async function d(a: string): Promise<{ b: number }> {\n${body}}\n`],
      ['src/e.ts', `const e = async () => {\n${body}};\n`],
      ['src/f.ts', `class F {\n  f(a = { b: '}' }) {\n${body}  }\n}\n`],
      ['tests/g.test.ts', `describe('g', () => {\ntest('h', () => {});\n${body}});\n`],
    ]);
    expect(tooLong(long)).toEqual([
      'src/a.ts:1 401 lines, at most 400',
      'src/b.ts:2 101 columns, at most 100',
    ]);
    expect(longFunctions(long)).toEqual([
      'src/d.ts:1 72 lines, at most 70',
      'src/e.ts:1 72 lines, at most 70',
      'src/f.ts:2 72 lines, at most 70',
    ]);
  });

  test('code is told from text', () => {
    const text = [
      "a('it\\'s {'); // {",
      `b(\`x \${c({ d: \`}\` })} {\`); e = /[/{]\\//.test(f) / 2; /* { */`,
    ].join('\n');
    expect(codeOnly(text).replace(/ +/g, ' ')).toBe('a( ); \nb( c({ d: }) ); e = .test(f) / 2; ');
  });

  test('changed, unrecorded and lost migrations', () => {
    const sum = createHash('sha256').update('select 1').digest('hex');
    const recorded = `${sum}  0001_a.sql\n${sum}  0002_b.sql\n`;
    expect(checksumFaults(new Map([['0001_a.sql', 'select 1']]), recorded)).toEqual([
      '0002_b.sql is recorded but gone',
    ]);
    const changed = new Map([
      ['0001_a.sql', 'select 2'],
      ['0002_b.sql', 'select 1'],
      ['0003_c.sql', 'select 1'],
    ]);
    expect(checksumFaults(changed, recorded)).toEqual([
      expect.stringContaining('0001_a.sql changed'),
      expect.stringContaining('0003_c.sql has no recorded checksum'),
    ]);
  });
});
