import type { FastifyInstance } from 'fastify';
import { sheetNames, sheets, templateOf } from '../../domain/import/sheet-columns.ts';
import {
  liftPatternSchema,
  liftPatternSchemaPath,
} from '../../domain/upkeep/lift-pattern-schema.ts';
import { catalogue, type ProblemCode } from '../../errors.ts';
import { escapeHtml } from '../html.ts';
import { liftCyclesPage } from '../lift-cycles-page.ts';
import { liftPatternsPage } from '../lift-patterns-page.ts';
import { problemAdvice } from '../problem-advice.ts';
import { foldWords, reasonWords, refusalWords } from '../verdict-words.ts';

/** Words in backquotes as code. */
const marked = (text: string) => escapeHtml(text).replace(/`([^`]+)`/g, '<code>$1</code>');

function problemsPage(): string {
  const rows = Object.entries(catalogue)
    .map(
      ([code, [status, title]]) =>
        `<tr id="${code}"><td><code>${code}</code></td><td>${status}</td>` +
        `<td>${escapeHtml(title)}</td>` +
        `<td>${marked(problemAdvice[code as ProblemCode])}</td></tr>`,
    )
    .join('\n');
  const meaning = (words: Record<string, string>) =>
    `<table><tbody>${Object.entries(words)
      .map(([word, means]) => `<tr><td><code>${word}</code></td><td>${marked(means)}</td></tr>`)
      .join('\n')}</tbody></table>`;
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Liftwright: problems</title></head>
<body><h1>Problems</h1>
<p>Every refusal is <code>application/problem+json</code> (RFC 9457) with one of these codes, and
<code>type</code> leads here. A code is never used again for another meaning. <code>detail</code>
says what happened in words, <code>errors</code> what is wrong where, and <code>instance</code> ends
with the id under which the request is logged. Where an answer has <code>Retry-After</code>, the
same request may go well after so many seconds.</p>
<table><thead><tr><th>code</th><th>status</th><th>title</th><th>what to do</th></tr></thead><tbody>
${rows}
</tbody></table>
<h2>Refused readings</h2>
<p>A reading that is refused is no error of the request but a verdict in a 200, and for good where
nothing else is said.</p>${meaning(refusalWords)}
<h2>Verdicts of the fold</h2>
<p>What became of a stored reading (<code>GET /v1/gateways/{id}/verdicts</code>). Those that wait
for a person are under <code>…/open-questions</code>.</p>${meaning(foldWords)}
<h2>Reasons of these verdicts</h2>${meaning(reasonWords)}
<p><a href="/docs">Routes and shapes</a></p></body></html>`;
}

function importPage(): string {
  const parts = sheetNames.map((name) => {
    const rows = sheets[name].columns.map((column) => {
      const cells = [column.name, column.required ? 'yes' : 'no', column.example, column.about];
      return `<tr>${cells.map((cell) => `<td>${escapeHtml(cell)}</td>`).join('')}</tr>`;
    });
    return `<h2 id="${name}">${name}</h2><p>${escapeHtml(sheets[name].about)}</p>
<table><thead><tr><th>column</th><th>must be there</th><th>example</th><th>what</th></tr></thead>
<tbody>${rows.join('\n')}</tbody></table><pre>${escapeHtml(templateOf(name))}</pre>`;
  });
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Liftwright: import</title></head>
<body><h1>Bringing in a fleet from sheets</h1>
<p>Save each sheet of your spreadsheet as CSV (UTF-8; parted by commas, semicolons or tabs) and post
them together to <code>/v1/imports</code>: first with <code>"dryRun": true</code>, which does all
the work and takes it back, and tells every fault by sheet, row and column as your spreadsheet
numbers them. With <code>"dryRun": false</code> all is brought in or nothing. The same sheets again
change nothing. Of
what is here already only notes are changed, a pattern is given to an asset that has none, and a
starting value takes the place of the wrong one that it names; any other
difference is a fault that says so.</p>
<p>The order of columns does not matter, nor capitals in their names; unknown columns are refused.
Dates are written 2026-05-01. A time without an offset is that of the home yard, and a date alone is
the first moment of that day there. Numbers have no unit; a comma or point that could as well part
thousands as decimals is refused.</p>
<p>Lift patterns are not in sheets: publish them first
(<code>POST /v1/patterns</code>), a next version with its <code>patternId</code>:
of two with one name a sheet cannot say which.</p>
<p>The body has one text per sheet; sheets may be left out. With <code>jq</code>:</p>
<pre>jq -n --rawfile yards yards.csv --rawfile units units.csv \\
  '{dryRun: true, yards: $yards, units: $units}' |
  curl -s "$URL/v1/imports" -H "Authorization: Bearer $KEY" \\
    -H 'Content-Type: application/json' --data-binary @-</pre>
<p>Until it is told when a task was last done, and what its meters stood at, the list says
<code>unknown</code>: an import of the equipment alone is half of the work.</p>
${parts.join('\n')}
<p><a href="/docs">Routes and shapes</a></p></body></html>`;
}

/** The catalogue for people; `type` of a problem points here. */
export async function docsRoutes(app: FastifyInstance): Promise<void> {
  const pages = {
    '/docs/problems': problemsPage,
    '/docs/import': importPage,
    '/docs/lift-cycles': liftCyclesPage,
    '/docs/lift-patterns': liftPatternsPage,
  };
  for (const [url, page] of Object.entries(pages)) {
    app.route({
      method: 'GET',
      url,
      schema: { hide: true },
      handler: async (_req, reply) =>
        reply
          .header('content-security-policy', "default-src 'none'")
          .type('text/html; charset=utf-8')
          .send(page()),
    });
  }
  app.route({
    method: 'GET',
    url: liftPatternSchemaPath,
    schema: { hide: true },
    handler: async (_req, reply) =>
      reply
        .type('application/schema+json; charset=utf-8')
        .send(JSON.stringify(liftPatternSchema(), null, 2)),
  });
  app.route({
    method: 'GET',
    url: '/docs/schema.graphql',
    schema: { hide: true },
    handler: async (_req, reply) => reply.type('text/plain; charset=utf-8').send(app.graphText()),
  });
}
