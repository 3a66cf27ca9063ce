/** The demo's words on a terminal. */
import { patterns } from './company.ts';
import type { BringInUnit } from './read-back.ts';
import type { Finding } from './seen.ts';

const taskNames = new Map(
  Object.values(patterns).flatMap(({ tasks }) => tasks.map(({ key, name }) => [key, name])),
);

const statusWords: Readonly<Record<BringInUnit['status'], string>> = {
  overrun: 'past limit',
  in_window: 'in window',
  unknown: 'unknown',
  ahead: 'ahead',
};

/** Reasons of a unit that are shown; the number of the others is told. */
const reasonsShown = 3;
const lineWidth = 100;

/** What the day of a row means, by its status. */
const dayWords: Record<BringInUnit['status'], string> = {
  overrun: 'since',
  in_window: 'until',
  unknown: 'until',
  ahead: 'opens',
};

/** Text over several lines of at most `width` columns. */
function wrap(text: string, width: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    if (line !== '' && line.length + 1 + word.length > width) {
      lines.push(line);
      line = '';
    }
    line = line === '' ? word : `${line} ${word}`;
  }
  return [...lines, line];
}

/** The bring-in list, most pressing first, each unit with its reasons. */
export function bringInText(list: readonly BringInUnit[]): string {
  const yardWidth = Math.max(...list.map(({ yardName }) => yardName?.length ?? 0), 4);
  const lines = [`Unit  ${'Yard'.padEnd(yardWidth)}  Status      Day                Why`];
  const indent = ' '.repeat(6 + yardWidth + 2 + 12 + 19);
  for (const unit of list) {
    const head = [
      unit.number.padEnd(4),
      (unit.yardName ?? '').padEnd(yardWidth),
      statusWords[unit.status].padEnd(10),
      (unit.pressOn === null ? '' : `${dayWords[unit.status]} ${unit.pressOn}`).padEnd(17),
    ].join('  ');
    const texts = unit.reasons
      .slice(0, reasonsShown)
      .map(({ task, text }) => (task === null ? text : `${taskNames.get(task) ?? task}: ${text}`));
    const more = unit.reasons.length + unit.moreReasons - texts.length;
    if (more > 0) texts.push(`and ${more} more`);
    const wrapped = texts.flatMap((text) => wrap(text, lineWidth - indent.length));
    lines.push(`${head}  ${wrapped[0] ?? ''}`);
    for (const line of wrapped.slice(1)) lines.push(`${indent}${line}`);
  }
  return lines.join('\n');
}

/** The planted defects, and what the service saw of each. */
export function findingsText(findings: readonly Finding[]): string {
  const lines: string[] = [];
  for (const { defect, seen, words } of findings) {
    lines.push(`  unit ${defect.unit}  ${defect.words}`);
    lines.push(`           ${seen ? 'seen' : 'NOT SEEN'}: ${words}`);
  }
  return lines.join('\n');
}

export function keysText(keys: ReadonlyMap<string, string>): string {
  const width = Math.max(...[...keys.keys()].map((role) => role.length));
  return [...keys].map(([role, key]) => `  ${role.padEnd(width)}  ${key}`).join('\n');
}
