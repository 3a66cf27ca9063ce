import { z } from 'zod';
import { RECORD_SECTIONS } from '../../domain/shop/record-kind.ts';
import { RETENTION_KINDS } from '../../domain/shop/retention.ts';
import { assetKind, cursor, day, id, name, note } from './common.ts';
import { meterUnit, reason } from './hand-reading.ts';
import { signature } from './signature.ts';

export const recordQuery = z.object({
  asKnownAt: z
    .string()
    .min(1)
    .max(64)
    .optional()
    .meta({
      description:
        'As it was known then: the number of an event, or an instant. What was written or ' +
        'corrected later is not in it. Left out: now. The same event gives the same answer for ' +
        'ever.',
      example: '2026-11-02T02:10:00-06:00',
    }),
});
export const section = z.enum(RECORD_SECTIONS).meta({ id: 'RecordSection' });

const asKnown = z
  .object({ event: z.int(), recordedAt: z.string().nullable() })
  .meta({ id: 'AsKnown', description: 'Up to which event it is told; ask for it again by this.' });
const use = z.object({ meter: z.string(), unit: meterUnit, value: z.number() });

const retention = z
  .array(
    z.object({
      kind: z.enum(RETENTION_KINDS),
      rows: z.int(),
      newestDay: z.string().nullable(),
      keepThrough: z.string().nullable().meta({
        description: 'The last day on which the newest of them must be kept; null: no rule asks.',
      }),
      mayBeLonger: z.boolean().meta({
        description: 'The unit has not left control yet, or an order holds it.',
      }),
      preserved: z.boolean(),
      source: z.string(),
      words: z.string(),
    }),
  )
  .max(20);

export const recordHead = z
  .object({
    asKnown,
    unit: z
      .object({
        unitId: id,
        number: z.string(),
        furnishedBy: z.string().nullable(),
        note: z.string().nullable(),
        homeYard: z.string().nullable(),
        timeZone: z.string(),
      })
      .nullable(),
    assets: z
      .array(
        z.object({
          assetId: id,
          kind: assetKind,
          serial: z.string(),
          make: z.string().nullable(),
          modelYear: z.int().nullable(),
          tireSize: z.string().nullable(),
          patternId: id.nullable(),
          patternVersion: z.int().nullable(),
        }),
      )
      .max(100)
      .meta({ description: 'What was on it then.' }),
    upkeep: z
      .array(
        z.object({
          assetId: id,
          task: z.string(),
          nature: z.string(),
          statutory: z.boolean(),
          lastDone: z.object({ at: z.string(), estimated: z.boolean() }).nullable(),
          dueBy: z.string().nullable().meta({
            description: 'By the calendar alone, from when it was last done; use may come first.',
          }),
          dueAfterUse: z.array(use).max(20),
          status: z.string().nullable().meta({ description: 'As it was last told.' }),
          statusSince: z.string().nullable(),
        }),
      )
      .max(1_000)
      .meta({ description: 'Nature and due date of the upkeep.' }),
    control: z
      .array(
        z.object({
          fromDay: z.string(),
          endedDay: z.string().nullable(),
          forThirtyDays: z.boolean(),
        }),
      )
      .max(1_000),
    preservation: z
      .array(
        z.object({
          orderId: id,
          unitId: id.nullable(),
          reason: z.string(),
          reference: z.string().nullable(),
          placedBy: z.string(),
        }),
      )
      .max(1_000)
      .meta({ description: 'Orders that stand: nothing is purged.' }),
    retention,
    sections: z
      .array(z.object({ section, entries: z.int() }))
      .max(20)
      .meta({
        description: 'How many entries each has; see `…/record/sections/{section}`.',
      }),
  })
  .meta({ id: 'RecordHead' });

const part = {
  kind: z.string(),
  id: z.string(),
  at: z.string().nullable(),
  words: z.string().meta({ description: 'Its nature, in words.' }),
  by: z.string().nullable(),
  knownSince: asKnown,
  lastChanged: asKnown,
  data: z.record(z.string(), z.unknown()).meta({
    description: 'The row as it stood; sizes in thousandths, use in grains.',
  }),
};

export const recordEntry = z
  .object({
    section,
    ...part,
    parts: z.array(z.record(z.string(), z.unknown())).max(100_000).meta({
      description: 'What belongs to it (steps, signatures, acts), shaped like the entry itself.',
    }),
  })
  .meta({ id: 'RecordEntry' });

export const recordPage = z
  .object({ asKnown, items: z.array(recordEntry).max(500), next: cursor.optional() })
  .meta({ id: 'RecordPage' });

export const newControlPeriod = z
  .strictObject({
    fromDay: day.meta({ description: 'The first day under the control of the fleet.' }),
    note: note.min(1).optional(),
  })
  .meta({ id: 'NewControlPeriod' });
export const controlEnd = z
  .strictObject({
    day: day.meta({ description: 'The last day; records are kept for six months beyond it.' }),
    reason,
  })
  .meta({ id: 'ControlEnd' });
export const controlPeriod = z
  .object({
    periodId: id,
    unitId: id,
    fromDay: z.string(),
    endedDay: z.string().nullable(),
    endReason: z.string().nullable(),
    note: z.string().nullable(),
    recordedAt: z.string(),
    voided: z.object({ by: z.string(), reason: z.string(), at: z.string() }).nullable(),
  })
  .meta({ id: 'ControlPeriod' });

export const newPreservationOrder = z
  .strictObject({
    unitId: id.optional().meta({ description: 'Left out: the records of all units.' }),
    reason,
    reference: name.optional().meta({ description: 'Of a case or a claim.' }),
    signature,
  })
  .meta({ id: 'NewPreservationOrder' });
export const preservationLift = z
  .strictObject({ reason, signature })
  .meta({ id: 'PreservationLift' });
export const preservationOrder = z
  .object({
    orderId: id,
    unitId: id.nullable(),
    reason: z.string(),
    reference: z.string().nullable(),
    placedAt: z.string(),
    placedBy: z.string(),
    lifted: z.object({ at: z.string(), by: z.string(), reason: z.string() }).nullable(),
  })
  .meta({ id: 'PreservationOrder' });
export const orderQuery = z.object({
  unitId: id.optional().meta({ description: 'Those that hold this unit.' }),
  standing: z.enum(['true', 'false']).optional(),
});

export const unitRetention = z
  .object({
    unitId: id,
    number: z.string(),
    controlEnded: z.string().nullable(),
    preserved: z.boolean(),
    kinds: retention,
  })
  .meta({
    id: 'UnitRetention',
    description: 'Nothing is purged by itself: this only says what must be kept until when.',
  });
