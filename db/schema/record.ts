import { bigint, boolean, date, integer, jsonb, primaryKey, text, uuid } from 'drizzle-orm/pg-core';
import { instant, liftwright } from './column.ts';

/** When a unit was under the control of the fleet; both days inside. */
export const controlPeriod = liftwright.table(
  'control_period',
  {
    fleetId: integer('fleet_id').notNull(),
    periodId: uuid('period_id').notNull(),
    unitId: uuid('unit_id').notNull(),
    fromDay: date('from_day', { mode: 'string' }).notNull(),
    endedDay: date('ended_day', { mode: 'string' }),
    endReason: text('end_reason'),
    note: text('note'),
    recordedBy: text('recorded_by').notNull(),
    recordedAtMs: instant('recorded_at').notNull(),
    voidReason: text('void_reason'),
    voidedBy: text('voided_by'),
    voidedAtMs: instant('voided_at'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.periodId] })],
);

/** While it stands nothing is purged: of one unit or, without one, of all. */
export const preservationOrder = liftwright.table(
  'preservation_order',
  {
    fleetId: integer('fleet_id').notNull(),
    orderId: uuid('order_id').notNull(),
    unitId: uuid('unit_id'),
    reason: text('reason').notNull(),
    reference: text('reference'),
    placedAtMs: instant('placed_at').notNull(),
    placedBy: text('placed_by').notNull(),
    placedPerson: uuid('placed_person').notNull(),
    recordedBy: text('recorded_by').notNull(),
    liftedAtMs: instant('lifted_at'),
    liftedBy: text('lifted_by'),
    liftedPerson: uuid('lifted_person'),
    liftReason: text('lift_reason'),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.orderId] })],
);

/** A transaction that changed what is kept, and the number of its first event. */
export const recordWork = liftwright.table(
  'record_work',
  {
    fleetId: integer('fleet_id').notNull(),
    workNo: bigint('work_no', { mode: 'number' }).notNull().generatedAlwaysAsIdentity(),
    number: bigint('number', { mode: 'number' }),
    broughtIn: boolean('brought_in').notNull().default(false),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.workNo] })],
);

/** Every version of a row that is kept; triggers write them. */
export const recordVersion = liftwright.table(
  'record_version',
  {
    fleetId: integer('fleet_id').notNull(),
    versionId: bigint('version_id', { mode: 'number' }).notNull().generatedAlwaysAsIdentity(),
    workNo: bigint('work_no', { mode: 'number' }).notNull(),
    kind: text('kind').notNull(),
    rowId: text('row_id').notNull(),
    unitId: uuid('unit_id'),
    assetId: uuid('asset_id'),
    parentId: text('parent_id'),
    atMs: instant('at'),
    gone: boolean('gone').notNull(),
    data: jsonb('data').notNull(),
  },
  (t) => [primaryKey({ columns: [t.fleetId, t.versionId] })],
);
