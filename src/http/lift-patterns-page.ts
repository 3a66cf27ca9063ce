import { SYMPTOMS, usualSymptoms } from '../domain/shop/symptom.ts';
import { liftPatternSchemaPath } from '../domain/upkeep/lift-pattern-schema.ts';
import { POINT_TAP_NAMES, POINT_TAPS } from '../domain/upkeep/point-tap.ts';
import { WORK_KINDS, type WorkKind } from '../domain/upkeep/task-work.ts';
import { escapeHtml } from './html.ts';

const workWords: Record<WorkKind, string> = {
  look: 'look for what is bent, cracked, missing or worn',
  clean: 'clean, then look again',
  measure: 'measure against a limit',
  fasten: 'check the witness mark or the torque of fasteners',
  grease: 'wipe the fitting, grease, swing, grease again',
  fill: 'check a level and fill up',
  replace: 'change for a new one',
  test: 'try whether it works',
};

const table = (head: readonly string[], rows: readonly (readonly string[])[]): string => {
  const row = (cells: readonly string[], tag: 'td' | 'th') =>
    `<tr>${cells.map((cell) => `<${tag}>${escapeHtml(cell)}</${tag}>`).join('')}</tr>`;
  const body = rows.map((cells) => row(cells, 'td')).join('\n');
  return `<table><thead>${row(head, 'th')}</thead><tbody>\n${body}\n</tbody></table>`;
};

/** What a lift pattern is, with its closed lists in words. */
export function liftPatternsPage(): string {
  const works = WORK_KINDS.map((kind) => [kind, workWords[kind]]);
  const taps = POINT_TAP_NAMES.map((name) => {
    const { result, words } = POINT_TAPS[name];
    return [name, words, result === 'done' ? 'done' : 'not right'];
  });
  const symptoms = SYMPTOMS.map((symptom) => {
    const { words, stop, causes } = usualSymptoms[symptom];
    return [symptom, words, stop === null ? '' : stop.replace('_', ' '), causes.join(' ')];
  });
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Liftwright: lift patterns</title></head>
<body><h1>Lift patterns</h1>
<p>A lift pattern describes one kind of equipment: its service points, upkeep tasks and wear parts,
what its functions rest on, and what a driver's symptom calls for. It is published with
<code>POST /v1/patterns</code> and never changes: what is otherwise later is a further version,
which an asset follows when somebody chooses so (<code>PATCH /v1/assets/{id}</code>).
<code>GET /v1/patterns/{id}/compare?from=1&amp;to=2</code> says in words what is otherwise.</p>
<p>The equipment maker's manual, local codes and qualified practice come before any pattern.</p>
<p>The <a href="${liftPatternSchemaPath}">JSON Schema</a> (draft 2020-12) knows all fields, bounds
and lists. Beyond it, a document is refused with path and reason when a key repeats in its list, a
point or task that is named does not exist, a figure is not a whole part of its unit, figures of a
wear part contradict each other, or a function rests on itself.</p>
<h2>Kinds of work</h2>
<p>In the order of a job card: everything is looked at before anything is touched.</p>
${table(['work', 'what'], works)}
<h2>Taps</h2>
<p>What can be told of a service point with one tap. A point offers those that it names, or those
usual for its kind; what is not right makes a finding.</p>
${table(['tap', 'words', 'the step is'], taps)}
<h2>Symptoms</h2>
<p>What a driver can report. Stop, tasks and causes come from the pattern's rule for the symptom;
without one, as here. Common practice, no source.</p>
${table(['symptom', 'the driver says', 'stop', 'ask for, in this order'], symptoms)}
<p><a href="/docs">Routes and shapes</a></p></body></html>`;
}
