import { integer, primaryKey, text, uuid } from 'drizzle-orm/pg-core';
import { instant, liftwright, span } from './column.ts';

/** A unit in a bay of a yard. Cancelled ones hold no bay. */
export const visit = liftwright.table(
  'visit',
  {
    fleetId: integer('fleet_id').notNull(),
    visitId: uuid('visit_id').notNull(),
    unitId: uuid('unit_id').notNull(),
    yardId: uuid('yard_id').notNull(),
    bay: text('bay').notNull(),
    /** Always with an end. */
    during: span('during').notNull(),
    canSpareFromMs: instant('can_spare_from'),
    backByMs: instant('back_by'),
    agreedBy: text('agreed_by'),
    note: text('note'),
    recordedBy: text('recorded_by').notNull(),
    createdAtMs: instant('created_at').notNull(),
    cancelReason: text('cancel_reason'),
    cancelledBy: text('cancelled_by'),
    cancelledAtMs: instant('cancelled_at'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.visitId] })],
);
