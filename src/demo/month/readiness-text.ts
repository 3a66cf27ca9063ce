/** Which units may take a wheel-lift call now, and why the others may not, on a terminal. */
import type { Liftwright, ReadinessOfUnit } from '../../../openapi/client.ts';

type Answer = ReadinessOfUnit['functions'][number]['answer'];

const pagesMax = 100;

/** Every unit, as dispatch would be answered now for its wheel lift. */
export async function readReadiness(api: Liftwright, key: string): Promise<ReadinessOfUnit[]> {
  const units: ReadinessOfUnit[] = [];
  let cursor: string | undefined;
  for (let page = 0; page < pagesMax; page += 1) {
    const more = cursor === undefined ? {} : { cursor };
    const answer = await api.getReadiness({ function: 'wheel_lift', limit: 200, ...more }, { key });
    units.push(...answer.items);
    if (answer.next === undefined) return units;
    cursor = answer.next;
  }
  throw new RangeError('the readiness list does not end');
}

const answerWords: Readonly<Record<Answer, string>> = {
  yes: 'may take the call',
  limited: 'with limits',
  no: 'not',
  unknown: 'unknown',
  not_fitted: 'no wheel lift',
};

const lineWidth = 100;
const textMost = 300;

function fold(text: string, indent: string): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.slice(0, textMost).split(' ')) {
    if (line !== '' && indent.length + line.length + 1 + word.length > lineWidth) {
      lines.push(line);
      line = '';
    }
    line = line === '' ? word : `${line} ${word}`;
  }
  return [...lines, line];
}

type Reason = ReadinessOfUnit['functions'][number]['reasons'][number];

/** A stop that somebody set says more than a task that went past its limit. */
const stopsFirst = (reasons: readonly Reason[]): Reason[] => [
  ...reasons.filter(({ what }) => what === 'stop'),
  ...reasons.filter(({ what }) => what !== 'stop'),
];

/** How many may go, and of each other unit the reason that says most. */
export function readinessText(units: readonly ReadinessOfUnit[]): string {
  const answers = units.flatMap(({ number, functions }) =>
    functions
      .filter((each) => each.function === 'wheel_lift')
      .map(({ answer, reasons }) => ({ number, answer, reasons: stopsFirst(reasons) })),
  );
  const count = (answer: Answer) => answers.filter((each) => each.answer === answer).length;
  const order: readonly Answer[] = ['yes', 'limited', 'no', 'unknown'];
  const counts = order.map((each) => `${count(each)} ${answerWords[each]}`);
  const lines = [`A wheel-lift call now: ${counts.join(', ')}.`];
  for (const answer of ['limited', 'no', 'unknown'] as const) {
    for (const { number, reasons } of answers.filter((each) => each.answer === answer)) {
      const [first] = reasons;
      const why = [first?.text ?? '', first ? `Clears: ${first.whoCanClear}.` : ''];
      const more = reasons.length > 1 ? `And ${reasons.length - 1} more.` : '';
      const head = `  ${number.padEnd(4)}  ${answerWords[answer].padEnd(11)}  `;
      const indent = ' '.repeat(head.length);
      const text = [...why, more].filter((each) => each !== '').join(' ');
      const [start = '', ...rest] = fold(text, indent);
      lines.push(`${head}${start}`, ...rest.map((line) => `${indent}${line}`));
    }
  }
  return lines.join('\n');
}
