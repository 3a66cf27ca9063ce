import type { FastifyInstance } from 'fastify';
import { refusals } from '../../domain/usage/reading-intake.ts';
import { foldVerdicts } from '../../domain/usage/verdict.ts';
import { catalogue } from '../../errors.ts';

const escapeHtml = (text: string) =>
  text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');

function problemsPage(): string {
  const rows = Object.entries(catalogue)
    .map(
      ([code, [status, title]]) =>
        `<tr id="${code}"><td><code>${code}</code></td><td>${status}</td>` +
        `<td>${escapeHtml(title)}</td></tr>`,
    )
    .join('\n');
  const list = (words: readonly string[]) => words.map((w) => `<code>${w}</code>`).join(', ');
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Liftwright: problems</title></head>
<body><h1>Problems</h1>
<p>Every refusal is <code>application/problem+json</code> (RFC 9457) with one of these codes.
A code is never used again for another meaning.</p>
<table><thead><tr><th>code</th><th>status</th><th>title</th></tr></thead><tbody>
${rows}
</tbody></table>
<h2>Refused readings</h2>
<p>A reading that is refused for good is no error of the request but a verdict in a 200:
${list(refusals)}.</p>
<h2>Verdicts of the fold</h2><p>${list(foldVerdicts)}.</p>
<p><a href="/docs">Routes and shapes</a></p></body></html>`;
}

/** The catalogue for people; `type` of a problem points here. */
export async function docsRoutes(app: FastifyInstance): Promise<void> {
  app.route({
    method: 'GET',
    url: '/docs/problems',
    schema: { hide: true },
    handler: async (_req, reply) =>
      reply
        .header('content-security-policy', "default-src 'none'")
        .type('text/html; charset=utf-8')
        .send(problemsPage()),
  });
}
