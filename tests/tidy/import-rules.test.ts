import { describe, expect, test } from 'vitest';
import { importRules } from './import-table.ts';
import { brokenRules, folderCycles, importsOf } from './imports.ts';
import { readSources } from './source.ts';

const sources = readSources(['src', 'db', 'workers', 'openapi']);

describe('who may import whom', () => {
  test('every import obeys the table', () => {
    expect(sources.size).toBeGreaterThan(20);
    expect(brokenRules(sources, importRules)).toEqual([]);
  });

  test('the folders of src do not import each other in a circle', () => {
    expect(folderCycles(sources)).toEqual([]);
  });
});

/** One small bad file per rule, with what must be said of it. */
const bad: [file: string, text: string, says: string][] = [
  ['src/domain/a.ts', "import { z } from 'zod';", 'src/domain/a.ts:1 imports zod: the domain is'],
  ['src/domain/b.ts', "import { readFileSync } from 'node:fs';", 'imports node:fs: the domain'],
  ['src/domain/c.ts', "\nimport type { Tx } from '../store/tx.ts';", 'src/domain/c.ts:2 imports'],
  ['src/store/a.ts', "import { listUnits } from '../flows/list-units.ts';", 'the store is SQL'],
  ['src/store/b.ts', "import fs from 'node:fs/promises';", 'the store is SQL'],
  ['src/flows/a.ts', "import { systemClock } from '../clock.ts';", 'flows import the domain'],
  ['src/flows/b.ts', "import { Queue } from 'bullmq';", 'imports bullmq: flows import'],
  ['src/flows/c.ts', "import { get } from 'node:https';", 'imports node:https: flows import'],
  ['src/flows/d.ts', "import pg from 'pg';", 'imports pg: flows import'],
  ['src/flows/e.ts', "export { runs } from '../queue/runs.ts';", 'src/queue/runs.ts: flows import'],
  ['src/http/a.ts', "import { schema } from '../graphql/schema.ts';", 'never graphql'],
  ['src/http/b.ts', "import { sql } from 'drizzle-orm';", 'imports drizzle-orm: routes import'],
  ['src/http/c.ts', "import { send } from '../queue/port.ts';", 'src/queue/port.ts: routes import'],
  ['src/graphql/a.ts', "import '../http/plugins/caller.ts';", 'never http'],
  ['src/screens/a.ts', "import { unit } from '../domain/unit.ts';", 'a client of the public API'],
  ['src/stray.ts', "import 'zod';", 'no rule names this file'],
  ['workers/a.ts', "import { z } from 'zod';", 'workers parse and call a flow'],
  ['workers/b.ts', "const s = await import('../src/store/unit.ts');", 'workers parse and call'],
  ['workers/c.ts', 'const s = await import(name);', 'imports ?: workers parse and call'],
  [
    'workers/d.ts',
    "import { x } from '../src/flows/x.ts';\nimport 'pg';",
    'workers/d.ts:2 imports',
  ],
  ['db/a.ts', "import { appError } from '../src/errors.ts';", 'db starts and migrates'],
  ['db/schema/a.ts', "import pg from 'pg';", 'the tables import only drizzle-orm'],
  ['src/app.ts', "import { processConfig } from './config.ts';", 'only files named main.ts'],
  ['src/flows/f.ts', "import type { Config } from '../config.ts';", 'src/config.ts: flows'],
  ['src/service.ts', "import { readConfig } from './config.ts';", 'only files named main.ts'],
  ['src/main.ts', "import { freshDatabase } from '../tests/helpers/db.ts';", 'imports a test'],
];

describe('the table can fail', () => {
  test.each(bad)('%s: %s', (file, text, says) => {
    const broken = brokenRules(new Map([[file, text]]), importRules);
    expect(broken).toHaveLength(1);
    expect(broken[0]).toContain(says);
  });

  test('what is allowed is not found fault with', () => {
    const good = new Map([
      ['src/main.ts', "import { processConfig } from './config.ts';\nimport './app.ts';"],
      ['workers/main.ts', "import { processConfig } from '../src/config.ts';"],
      ['src/flows/a.ts', "import type pg from 'pg';\nimport { type Clock } from '../clock.ts';"],
      ['src/flows/b.ts', "import { createHash } from 'node:crypto';\n// import 'bullmq';"],
      ['src/store/a.ts', "import { eq } from 'drizzle-orm';\nimport 'drizzle-orm/pg-core';"],
      ['src/http/a.ts', "const text = `\nimport 'bullmq';\n`;\nexport const from = 'bullmq';"],
    ]);
    expect(brokenRules(good, importRules)).toEqual([]);
  });

  test('circles are found over three folders, types included', () => {
    const circle = new Map([
      ['src/flows/a.ts', "import { b } from '../store/b.ts';"],
      ['src/store/b.ts', "import type { C } from '../queue/c.ts';"],
      ['src/queue/c.ts', "import { a } from '../flows/a.ts';"],
    ]);
    expect(folderCycles(circle)).toEqual([
      'folders import each other in a circle: src/flows/a.ts:1 -> src/store/b.ts, ' +
        'src/store/b.ts:1 -> src/queue/c.ts, src/queue/c.ts:1 -> src/flows/a.ts',
    ]);
  });

  test('imports over several lines, with types inside', () => {
    const text = [
      'import {',
      '  type A,',
      '  b,',
      "} from './b.ts';",
      "import { type C, type D } from './c.ts';",
      "export type { E } from './e.ts';",
      "export * from './f.ts';",
      "const g = typeof import('./g.ts');",
    ].join('\n');
    const found = importsOf('src/x.ts', text).map((one) => [one.target, one.line, one.typeOnly]);
    expect(found).toEqual([
      ['src/b.ts', 1, false],
      ['src/c.ts', 5, true],
      ['src/e.ts', 6, true],
      ['src/f.ts', 7, false],
      ['src/g.ts', 8, false],
    ]);
  });
});
