import { posix } from 'node:path';
import { codeOnly, lineAt, type Sources } from './source.ts';

/** One import of a file. `target` is a path from the top, or the name of a package or builtin. */
export interface Import {
  file: string;
  line: number;
  target: string;
  typeOnly: boolean;
}

/**
 * Who may import whom. `of` names files: a folder (ends in '/') or one file; the longest name that
 * fits a file is its rule. `may` lists folders, files, packages (with what is under them), `node:*`
 * for builtins without I/O, `node:io` for the others; 'type x' allows x for types only.
 */
export interface ImportRule {
  of: string;
  may: readonly string[];
  words: string;
}

const ioBuiltins = new Set(
  ['fs', 'net', 'http', 'https', 'http2', 'tls', 'dgram', 'dns', 'child_process', 'cluster'].map(
    (name) => `node:${name}`,
  ),
);

const clause = String.raw`((?:type\s+)?(?:[\w$]+\s*,?\s*)?(?:\{[^}]*\}|\*(?:\s*as\s+[\w$]+)?)?)`;
const statement = new RegExp(
  String.raw`^[ \t]*(?:import|export)\b\s*(?:${clause}\s*\bfrom\b\s*)?(['"])([^'"\n]+)\2`,
  'gm',
);
const call = /\b(?:import|require)\s*\(\s*(?:(['"])([^'"\n]+)\1)?/g;

function isTypeOnly(clause: string): boolean {
  if (/^\s*type\b/.test(clause)) return true;
  const names = /^\s*\{([^}]*)\}\s*$/.exec(clause)?.[1]?.split(',');
  const given = names?.filter((name) => name.trim() !== '') ?? [];
  return given.length > 0 && given.every((name) => /^\s*type\s/.test(name));
}

function targetOf(file: string, specifier: string): string {
  if (!specifier.startsWith('.')) return specifier;
  return posix.normalize(posix.join(posix.dirname(file), specifier));
}

/** Every import, re-export and dynamic import of a file; a computed one has the target '?'. */
export function importsOf(file: string, text: string): Import[] {
  const code = codeOnly(text);
  const found: Import[] = [];
  const add = (index: number, specifier: string, typeOnly: boolean) =>
    found.push({ file, line: lineAt(text, index), target: targetOf(file, specifier), typeOnly });
  for (const match of text.matchAll(statement)) {
    const at = match.index + match[0].search(/\S/);
    if (!/^(import|export)/.test(code.slice(at, at + 6))) continue;
    add(at, match[3]!, isTypeOnly(match[1] ?? ''));
  }
  for (const match of text.matchAll(call)) {
    if (!/^(import|require)/.test(code.slice(match.index, match.index + 7))) continue;
    add(match.index, match[2] ?? '?', false);
  }
  return found;
}

function fits(allowed: string, target: string): boolean {
  if (allowed === 'node:io') return target.startsWith('node:');
  if (allowed === 'node:*') return target.startsWith('node:') && !ioBuiltins.has(rootOf(target));
  if (allowed.endsWith('/')) return target.startsWith(allowed);
  return target === allowed || target.startsWith(`${allowed}/`);
}

const rootOf = (builtin: string) => builtin.split('/')[0]!;

function allows(rule: ImportRule, one: Import): boolean {
  return rule.may.some((entry) => {
    const typed = entry.startsWith('type ');
    return fits(typed ? entry.slice(5) : entry, one.target) && (!typed || one.typeOnly);
  });
}

const isMain = (file: string) => posix.basename(file) === 'main.ts';

function ruleOf(rules: readonly ImportRule[], file: string): ImportRule | undefined {
  return rules
    .filter((rule) => rule.of === file || (rule.of.endsWith('/') && file.startsWith(rule.of)))
    .sort((a, b) => b.of.length - a.of.length)[0];
}

function judge(rules: readonly ImportRule[], one: Import): string | null {
  if (one.target === 'src/config.ts' && !isMain(one.file) && !one.typeOnly) {
    return 'only files named main.ts import the configuration (its type may be passed on)';
  }
  if (one.target.startsWith('tests/')) return 'nothing that runs imports a test';
  if (isMain(one.file)) return null;
  const rule = ruleOf(rules, one.file);
  if (!rule) return 'no rule names this file: add it to tests/tidy/import-table.ts';
  return allows(rule, one) ? null : rule.words;
}

/** Every import that breaks a rule: `file:line imports x: the rule in words`. */
export function brokenRules(sources: Sources, rules: readonly ImportRule[]): string[] {
  const broken: string[] = [];
  for (const [file, text] of sources) {
    for (const one of importsOf(file, text)) {
      const words = judge(rules, one);
      const how = one.typeOnly ? 'imports the type of' : 'imports';
      if (words) broken.push(`${file}:${one.line} ${how} ${one.target}: ${words}`);
    }
  }
  return broken;
}

/** The folder directly below src that a file lies in, or the file itself. */
function part(file: string): string | null {
  const match = /^src\/[^/]+/.exec(file);
  return match ? match[0] : null;
}

/** Circles between the folders of src, each as the imports that close it; types count as well. */
export function folderCycles(sources: Sources): string[] {
  const edges = new Map<string, Map<string, Import>>();
  for (const [file, text] of sources) {
    const from = part(file);
    for (const one of importsOf(file, text)) {
      const to = part(one.target);
      if (!from || !to || from === to) continue;
      const out = edges.get(from) ?? new Map<string, Import>();
      if (!out.has(to)) out.set(to, one);
      edges.set(from, out);
    }
  }
  const cycles: string[] = [];
  const done = new Set<string>();
  const visit = (name: string, path: readonly string[], by: readonly Import[]): void => {
    const at = path.indexOf(name);
    if (at !== -1) {
      const steps = by.slice(at).map((one) => `${one.file}:${one.line} -> ${one.target}`);
      cycles.push(`folders import each other in a circle: ${steps.join(', ')}`);
      return;
    }
    if (done.has(name)) return;
    for (const [to, one] of edges.get(name) ?? []) visit(to, [...path, name], [...by, one]);
    done.add(name);
  };
  for (const name of edges.keys()) visit(name, [], []);
  return cycles;
}
