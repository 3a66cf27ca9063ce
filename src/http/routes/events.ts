import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { instantText } from '../../domain/instant.ts';
import { eventsAfter, lastEventNumber, type ShownEvent } from '../../store/event.ts';
import { getRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { events } from '../schemas/usage.ts';

const show = (row: ShownEvent) => ({
  number: row.number,
  type: row.type,
  subject: row.subject,
  data: row.data as Record<string, unknown>,
  personal: row.personal as Record<string, unknown> | null,
  personalDigest: row.personalDigest?.toString('hex') ?? null,
  occurredAt: instantText(row.occurredAtMs),
  recordedAt: instantText(row.recordedAtMs),
  hash: row.hash.toString('hex'),
});

export async function eventRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  getRoute(app, deps, {
    url: '/v1/events',
    tag: 'history',
    summary: 'What happened, numbered without gaps; ask again with the last number seen',
    duty: 'read_history',
    query: z.object({
      after: z.coerce.number().int().min(0).max(Number.MAX_SAFE_INTEGER).default(0),
      limit: z.coerce.number().int().min(1).max(500).default(100),
      subject: z.string().max(120).optional(),
      type: z.string().max(80).optional(),
    }),
    answer: events,
    read: async (tx, req) => {
      const { after, limit, subject, type } = req.query;
      const { fleetId } = req.caller;
      const last = await lastEventNumber(tx, fleetId);
      const rows = await eventsAfter(tx, fleetId, after, limit, { subject, type });
      return { items: rows.map(show), last: Math.max(last, rows.at(-1)?.number ?? 0) };
    },
  });
}
