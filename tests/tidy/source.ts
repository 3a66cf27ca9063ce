import { readdirSync, readFileSync } from 'node:fs';
import { join, relative, resolve } from 'node:path';

export const root = resolve(import.meta.dirname, '../..');

/** Source files by path from the top, with '/' between. */
export type Sources = ReadonlyMap<string, string>;

/** All files under these folders whose name ends as asked; folders that do not exist are empty. */
export function readSources(folders: readonly string[], ending = /\.(ts|tsx|mjs|js)$/): Sources {
  const sources = new Map<string, string>();
  const walk = (folder: string): void => {
    for (const entry of readdirSync(folder, { withFileTypes: true })) {
      const path = join(folder, entry.name);
      if (entry.name === 'node_modules' || entry.name === 'dist') continue;
      if (entry.isDirectory()) walk(path);
      else if (ending.test(entry.name)) {
        sources.set(relative(root, path).replaceAll('\\', '/'), readFileSync(path, 'utf8'));
      }
    }
  };
  const present = new Set(readdirSync(root));
  for (const folder of folders) if (present.has(folder)) walk(join(root, folder));
  return sources;
}

/** The number of the line, from 1, that holds the character at `index`. */
export function lineAt(text: string, index: number): number {
  let line = 1;
  for (let i = text.indexOf('\n'); i !== -1 && i < index; i = text.indexOf('\n', i + 1)) line++;
  return line;
}

const regexMayFollow = /(?:^|[(,=:[!&|?{};+\-*%~^<>]|\b(?:return|typeof|case|in|of|throw|void))$/;

function endOfQuoted(text: string, start: number): number {
  for (let i = start + 1; i < text.length; i++) {
    if (text[i] === '\\') i++;
    else if (text[i] === text[start] || text[i] === '\n') return i + 1;
  }
  return text.length;
}

function endOfRegex(text: string, start: number): number {
  let inClass = false;
  for (let i = start + 1; i < text.length; i++) {
    if (text[i] === '\\') i++;
    else if (text[i] === '[') inClass = true;
    else if (text[i] === ']') inClass = false;
    else if ((text[i] === '/' && !inClass) || text[i] === '\n') return i + 1;
  }
  return text.length;
}

/** The end of the template text that goes on at `start`: behind its backtick, or behind `${`. */
function endOfTemplateText(text: string, start: number): number {
  for (let i = start; i < text.length; i++) {
    if (text[i] === '\\') i++;
    else if (text[i] === '`') return i + 1;
    else if (text[i] === '$' && text[i + 1] === '{') return i + 2;
  }
  return text.length;
}

/** The end of a comment, string, template text or regular expression at `i`, or `i` if none. */
function endOfText(text: string, i: number, before: string): number {
  const pair = text.slice(i, i + 2);
  if (pair === '//') {
    const end = text.indexOf('\n', i);
    return end === -1 ? text.length : end;
  }
  if (pair === '/*') {
    const end = text.indexOf('*/', i + 2);
    return end === -1 ? text.length : end + 2;
  }
  if (text[i] === "'" || text[i] === '"') return endOfQuoted(text, i);
  if (text[i] === '`') return endOfTemplateText(text, i + 1);
  if (text[i] === '/' && regexMayFollow.test(before.slice(-20).trimEnd())) {
    return endOfRegex(text, i);
  }
  return i;
}

/**
 * The same text with comments, strings, template text and regular expressions made blank, so that
 * what is left is code; lines and columns stay. Code inside `${}` stays.
 */
export function codeOnly(text: string): string {
  let out = '';
  let depth = 0;
  const templates: number[] = [];
  const blank = (from: number, to: number) => text.slice(from, to).replace(/[^\n]/g, ' ');
  for (let i = 0; i < text.length; ) {
    let end = endOfText(text, i, out);
    if (end > i) {
      if (text[i] === '`' && text.slice(end - 2, end) === '${') templates.push(depth);
      out += blank(i, end);
      i = end;
      continue;
    }
    if (text[i] === '}' && templates.at(-1) === depth) {
      end = endOfTemplateText(text, i + 1);
      if (text.slice(end - 2, end) !== '${') templates.pop();
      out += blank(i, end);
      i = end;
      continue;
    }
    if (text[i] === '{') depth++;
    if (text[i] === '}') depth--;
    out += text[i];
    i++;
  }
  return out;
}
