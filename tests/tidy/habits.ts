import { codeOnly, lineAt, type Sources } from './source.ts';

export const bounds = { fileLines: 400, lineColumns: 100, functionLines: 70 } as const;

/** One habit that code must not have: where it is looked for, and what to do instead. */
export interface Habit {
  pattern: RegExp;
  /** Whether comments and strings are looked at too. */
  inText: boolean;
  in: RegExp;
  except: RegExp;
  words: string;
}

const running = /^(src|db|workers|openapi)\//;
const nowhere = /^$/;

const anyOf = (...patterns: RegExp[]) =>
  new RegExp(patterns.map((pattern) => pattern.source).join('|'), 'g');

export const habits: readonly Habit[] = [
  {
    // spelt in halves so that this file does not find itself
    pattern: new RegExp(`\\b(${'TO'}${'DO'}|${'FIX'}${'ME'})\\b`, 'g'),
    inText: true,
    in: /^(src|db|workers|openapi|tests)\//,
    except: nowhere,
    words: 'finish it, or say in DEVELOPERS.md what is missing',
  },
  {
    pattern: anyOf(/\bconsole\s*\./),
    inText: false,
    in: /^(src|db|workers|openapi|tests)\//,
    except: /main\.ts$|^src\/demo\/|^tests\/bench\/|^tests\/.*-child\.ts$/,
    words: 'use the log that is handed in; only main.ts, the demo and the bench print',
  },
  {
    pattern: anyOf(
      /\bprocess\s*(\??\.\s*env\b|\[)/,
      /\bimport\.meta\.env\b/,
      /\{[^{}]*\benv\b[^{}]*\}\s*=\s*process\b/,
      /\bimport\s*\{[^}]*\benv\b[^}]*\}/,
    ),
    inText: false,
    in: running,
    except: /^src\/config\.ts$/,
    words: 'only src/config.ts reads the environment',
  },
  {
    pattern: anyOf(
      /\bnew\s+Date\s*\(\s*\)/,
      /\bnew\s+Date\b(?!\s*\()/,
      /(?<!\bnew\s+|[.\w])Date\s*\(/,
      /\bDate\s*\.\s*now\b/,
      /\bTemporal\s*\.\s*Now\b/,
    ),
    inText: false,
    in: running,
    except: /^src\/clock\.ts$/,
    words: 'only src/clock.ts reads the time; `new Date(ms)` of a given number is allowed',
  },
  {
    pattern: anyOf(/\bperformance\s*\./, /\bhrtime\b/, /\bprocess\s*\.\s*uptime\b/),
    inText: false,
    in: /^(src\/(domain|flows|store)|workers)\//,
    except: nowhere,
    words: 'time is handed in; only what waits for a server or a process measures a wait',
  },
  {
    pattern: anyOf(
      /\b(now|NOW)\(\)/,
      /\b(current|CURRENT)_(timestamp|date|time|TIMESTAMP|DATE|TIME)\b/,
      /\b(clock|statement|transaction)_timestamp\b/,
    ),
    inText: true,
    in: /^(src\/(store|flows)|db\/migrations)\//,
    except: nowhere,
    words: 'SQL is handed the time as a parameter',
  },
  {
    pattern: anyOf(/\bliftwright\.fleets\b/),
    inText: true,
    in: running,
    except: /^src\/store\/pool\.ts$|^db\/migrations\//,
    words: 'only withFleet in src/store/pool.ts says which fleets a transaction sees',
  },
  {
    pattern: anyOf(
      /\bMath\.random\b/,
      /\brandom(UUID|Bytes|Int|Fill\w*)\b|\bgetRandomValues\b|\bwebcrypto\b/,
      /\bcrypto\s*\./,
      /\bfetch\s*\(/,
      /\bprocess\s*\./,
      /\bset(Timeout|Interval|Immediate)\b/,
    ),
    inText: false,
    in: /^src\/domain\//,
    except: nowhere,
    words: 'the domain is pure: no randomness, no I/O, no waiting, nothing of the machine',
  },
];

/** Every place with a bad habit: `file:line text: what to do instead`. */
export function badHabits(sources: Sources, rules: readonly Habit[] = habits): string[] {
  const found: string[] = [];
  for (const [file, text] of sources) {
    const fitting = rules.filter((habit) => habit.in.test(file) && !habit.except.test(file));
    const code = file.endsWith('.sql') ? text.replace(/--.*/g, '') : codeOnly(text);
    for (const habit of fitting) {
      const seen = habit.inText && !file.endsWith('.sql') ? text : code;
      for (const match of seen.matchAll(habit.pattern)) {
        found.push(`${file}:${lineAt(seen, match.index)} ${match[0].trim()}: ${habit.words}`);
      }
    }
  }
  return found;
}

/** Files and lines that are too long, in characters, not bytes. */
export function tooLong(sources: Sources): string[] {
  const found: string[] = [];
  for (const [file, text] of sources) {
    const lines = text.replace(/\n$/, '').split('\n');
    if (lines.length > bounds.fileLines) {
      found.push(`${file}:1 ${lines.length} lines, at most ${bounds.fileLines}`);
    }
    lines.forEach((line, i) => {
      const columns = [...line].length;
      if (columns > bounds.lineColumns) {
        found.push(`${file}:${i + 1} ${columns} columns, at most ${bounds.lineColumns}`);
      }
    });
  }
  return found;
}

const notAFunction = /\b(?:if|for|while|switch|catch|with)\s*(?:await\s*)?$/;

const listsTests = /\b(?:describe|test|it)(?:\.\w+)*\s*\(/;

/** The index of the parenthesis that opens what closes at `close`. */
function openOf(code: string, close: number): number {
  let depth = 0;
  for (let i = close; i >= 0; i--) {
    if (code[i] === ')') depth++;
    if (code[i] === '(' && --depth === 0) return i;
  }
  return 0;
}

/** Whether the brace at `open` starts the body of a function. */
function opensFunction(code: string, open: number): boolean {
  const before = code.slice(Math.max(0, open - 2000), open).trimEnd();
  if (before.endsWith('=>')) return true;
  // a class after a function without braces inside would look like the type of its answer
  if (/\b(?:class|interface)\b[^;{}]*$/.test(before)) return false;
  // the parameters, or the parameters and a type of what is answered
  const close = /\)(?:\s*:\s*[^;(){}=]*(?:\{[^{}]*\}[^;(){}=]*)?)?$/.exec(before);
  return close !== null && !notAFunction.test(before.slice(0, openOf(before, close.index)));
}

/**
 * Functions that are too long. By braces, not by a parser: arrows, methods and declarations are
 * told from `if (…) {` and the like by what stands before the brace; an arrow without braces is
 * not seen. In tests, what holds tests (such as the body of a `describe`) is a list, no function.
 */
export function longFunctions(sources: Sources): string[] {
  const found: string[] = [];
  for (const [file, text] of sources) {
    const code = codeOnly(text);
    const open: number[] = [];
    for (let i = 0; i < code.length; i++) {
      if (code[i] === '{') open.push(i);
      if (code[i] !== '}') continue;
      const start = open.pop();
      if (start === undefined) continue;
      const line = lineAt(code, start);
      const length = lineAt(code, i) - line + 1;
      if (length <= bounds.functionLines || !opensFunction(code, start)) continue;
      if (file.startsWith('tests/') && listsTests.test(code.slice(start, i))) continue;
      found.push(`${file}:${line} ${length} lines, at most ${bounds.functionLines}`);
    }
  }
  return found;
}
