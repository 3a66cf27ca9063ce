import { Readable } from 'node:stream';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { FastifyZodOpenApiSchema } from 'fastify-zod-openapi';
import { z } from 'zod';
import { page, parseCursor } from '../../cursor.ts';
import { asKnownAt, showAsKnown } from '../../flows/as-known.ts';
import { type RecordSubject, readRecordPage, showRecordEntry } from '../../flows/read-record.ts';
import { readRecordHead } from '../../flows/read-record-head.ts';
import { recordCsv } from '../../flows/record-csv.ts';
import { sequenceForReader } from '../../flows/sequence-events.ts';
import { withFleet } from '../../store/pool.ts';
import { getRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, pageQuery, refusals, security } from '../schemas/common.ts';
import * as s from '../schemas/record.ts';

const tag = 'record';
const duty = 'read_history';
const about =
  'What identifies it, the nature and due date of its upkeep, who controlled it when, until when ' +
  'each kind of record must be kept and why, and how many entries each section has: what 49 CFR ' +
  '396.3(b) asks for, and more. A record of a unit has what its assets met while they were on ' +
  'it. Told by event: what is written after that event, also a correction, is not in it, and the ' +
  'same event gives the same answer for ever.';

const kinds = ['serial', 'serial', 'text', 'text'] as const;

/** What is written already is numbered first, so that the reader sees it. */
const fresh = (deps: RouteDeps, req: FastifyRequest) => sequenceForReader(deps, req.caller.fleetId);

interface Whose {
  url: string;
  what: string;
  params: z.ZodObject;
  subject(req: FastifyRequest): RecordSubject;
}

const unit = z.object({ unitId: id });
const asset = z.object({ assetId: id });
const whose: Whose[] = [
  {
    url: '/v1/units/:unitId',
    what: 'a unit',
    params: unit,
    subject: (req) => ({ unitId: (req.params as z.output<typeof unit>).unitId }),
  },
  {
    url: '/v1/assets/:assetId',
    what: 'an asset',
    params: asset,
    subject: (req) => ({ assetId: (req.params as z.output<typeof asset>).assetId }),
  },
];

function headRoute(app: FastifyInstance, deps: RouteDeps, of: Whose): void {
  getRoute(app, deps, {
    url: `${of.url}/record`,
    tag,
    summary: `The record of ${of.what}: its head, and what is in it`,
    description: about,
    duty,
    params: of.params,
    query: s.recordQuery,
    answer: s.recordHead,
    before: (req) => fresh(deps, req),
    read: async (tx, req) => {
      const { fleetId } = req.caller;
      const known = await asKnownAt(tx, fleetId, req.query.asKnownAt);
      return readRecordHead(tx, fleetId, known, of.subject(req));
    },
  });
}

function sectionRoute(app: FastifyInstance, deps: RouteDeps, of: Whose): void {
  getRoute(app, deps, {
    url: `${of.url}/record/sections/:section`,
    tag,
    summary: `A section of the record of ${of.what}, in pages, in order of its moments`,
    description:
      'Further pages stay with the event of the first. Each entry says from which event on it ' +
      'was known, and by which it was last changed.',
    duty,
    params: of.params.extend({ section: s.section }),
    query: s.recordQuery.extend(pageQuery.shape),
    answer: s.recordPage,
    before: (req) => fresh(deps, req),
    read: async (tx, req) => {
      const { fleetId } = req.caller;
      const { asKnownAt: asked, limit, cursor } = req.query;
      const { section } = req.params as { section: z.output<typeof s.section> };
      const after = parseCursor(cursor, kinds);
      const known = await asKnownAt(tx, fleetId, after ? String(after[0]) : asked);
      const rows = await readRecordPage(
        tx,
        fleetId,
        known.event,
        { subject: of.subject(req), section },
        after && [after[1], after[2], after[3]],
        limit + 1,
      );
      const { items, next } = page(rows, limit, showRecordEntry, ({ row }) => [
        known.event,
        row.atMs,
        row.kind,
        row.rowId,
      ]);
      const shown = items as unknown as z.output<typeof s.recordEntry>[];
      return { asKnown: showAsKnown(known), items: shown, ...(next ? { next } : {}) };
    },
  });
}

/** A large record over a slow line. */
const csvMostMs = 3_600_000;

function csvRoute(app: FastifyInstance, deps: RouteDeps, of: Whose): void {
  const summary = `The whole record of ${of.what} as CSV (RFC 4180), for a spreadsheet or on paper`;
  const schema = {
    tags: [tag],
    summary,
    description:
      'Identification, due dates and retention first, then every entry; `of` names the entry ' +
      'that a line belongs to. What a spreadsheet would take for a formula has an apostrophe ' +
      'before it.',
    security,
    params: of.params,
    querystring: s.recordQuery,
    response: {
      200: { description: summary, content: { 'text/csv': { schema: z.string() } } },
      ...refusals(),
    },
  } satisfies FastifyZodOpenApiSchema;
  app.route({
    method: 'GET',
    url: `${of.url}/record.csv`,
    config: { duty },
    exposeHeadRoute: false,
    handlerTimeout: csvMostMs,
    schema,
    handler: async (req, reply) => {
      const { fleetId } = req.caller;
      const subject = of.subject(req);
      await fresh(deps, req);
      const { known, head } = await withFleet(deps.pools.app, [fleetId], async (tx) => {
        const asked = (req.query as z.output<typeof s.recordQuery>).asKnownAt;
        const at = await asKnownAt(tx, fleetId, asked);
        return { known: at, head: await readRecordHead(tx, fleetId, at, subject) };
      });
      const lines = recordCsv(deps, fleetId, known, subject, head);
      reply
        .header('content-type', 'text/csv; charset=utf-8; header=present')
        .header('content-disposition', `attachment; filename="record-${known.event}.csv"`)
        .header('cache-control', 'no-store');
      return reply.send(Readable.from(lines, { objectMode: false }));
    },
  });
}

export async function recordRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  for (const each of whose) {
    headRoute(app, deps, each);
    sectionRoute(app, deps, each);
    csvRoute(app, deps, each);
  }
}
