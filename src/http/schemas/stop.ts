import { z } from 'zod';
import { FINDING_ENDINGS, FINDING_GRADES, FINDING_SOURCES } from '../../domain/shop/finding.ts';
import {
  STOP_ACTS,
  STOP_EFFECTIVES,
  STOP_EFFECTS,
  STOP_KINDS,
  STOP_STATES,
} from '../../domain/shop/stop.ts';
import { UNIT_FUNCTIONS } from '../../domain/upkeep/service-point.ts';
import { day, id, instant } from './common.ts';
import { signature } from './signature.ts';

export const unitFunction = z.enum(UNIT_FUNCTIONS).meta({
  id: 'UnitFunction',
  description: 'What a unit can be sent to do.',
});
export const functions = z.array(unitFunction).min(1).max(UNIT_FUNCTIONS.length);
const words = z.string().trim().min(1).max(2000);

const flag = (description: string) => z.literal(true).optional().meta({ description });
const most = (max: number, description: string) =>
  z.int().min(1).max(max).optional().meta({ description });
export const limits = z
  .strictObject({
    loadKg: most(100_000, 'At most so many kilograms on the lift.'),
    distanceKm: most(10_000, 'At most so many kilometres.'),
    speedKmh: most(200, 'At most so many kilometres an hour.'),
    toShopOnly: flag('Only to the shop, with nothing on.'),
    secondPerson: flag('Only with a second person there.'),
    daylightOnly: flag('Not in the dark.'),
    presentLoadOnly: flag('Only to finish the load that is on.'),
    words: z.array(z.string().trim().min(1).max(300)).max(10).optional(),
  })
  .meta({
    id: 'Limits',
    description: 'What is still allowed. Several hold together: the strictest number, every flag.',
  });
/** As answered: several together may have more words. */
export const shownLimits = z
  .object({
    loadKg: z.int().optional(),
    distanceKm: z.int().optional(),
    speedKmh: z.int().optional(),
    toShopOnly: z.literal(true).optional(),
    secondPerson: z.literal(true).optional(),
    daylightOnly: z.literal(true).optional(),
    presentLoadOnly: z.literal(true).optional(),
    words: z.array(z.string()).max(1000).optional(),
  })
  .meta({ id: 'ShownLimits' });

const effective = z.enum(STOP_EFFECTIVES).meta({
  id: 'StopEffective',
  description: 'after_drop: the load that is on may be finished, no new call.',
});

export const newStop = z
  .strictObject({
    kind: z.enum(STOP_KINDS).meta({
      id: 'StopKind',
      description:
        'work_lock: a person is in it; defect: the shop; officer: an order of an inspector; ' +
        'restriction: dispatch.',
    }),
    assetId: id.optional().meta({ description: 'The stop goes with it to another unit.' }),
    functions: functions.optional().meta({
      description: 'Left out: all of them. A work lock always takes all.',
    }),
    effect: z.enum(STOP_EFFECTS).default('no').meta({ id: 'StopEffect' }),
    limits: limits.default({}),
    effective: effective.default('at_once'),
    reason: words,
    until: instant.optional().meta({
      description: 'A restriction ends then; of the others it is only expected to.',
    }),
    signature: signature.optional().meta({
      description: 'Needed for a work lock, and of somebody of dispatch for a restriction.',
    }),
  })
  .meta({ id: 'NewStop' });

export const stop = z
  .object({
    stopId: id,
    unitId: id.meta({ description: 'Where it was set.' }),
    assetId: id.nullable(),
    findingId: id.nullable(),
    kind: z.enum(STOP_KINDS),
    state: z.enum([...STOP_STATES, 'run_out']).meta({
      id: 'StopState',
      description: 'run_out: a restriction whose time is over.',
    }),
    effect: z.enum(STOP_EFFECTS),
    functions: z.array(unitFunction).max(5),
    limits: shownLimits,
    effective: z.enum(STOP_EFFECTIVES),
    reason: z.string(),
    cause: z.object({ kind: z.string(), id: z.string() }).nullable(),
    until: z.string().nullable(),
    placedAt: z.string(),
    placedBy: z.object({ personId: id.nullable(), name: z.string() }),
    whoCanClear: z.string(),
    droppedAt: z.string().nullable(),
    clearedAt: z.string().nullable(),
  })
  .meta({ id: 'Stop' });

export const stopAct = z
  .object({
    actId: id,
    act: z.enum(['set', ...STOP_ACTS]),
    until: z.string().nullable(),
    words: z.string(),
    by: z.object({ personId: id.nullable(), name: z.string() }),
    at: z.string(),
  })
  .meta({ id: 'StopAct' });

/** What is kept of a clearing is all of it together: 2,000 characters. */
const clearingWords = z.string().trim().min(1).max(800);

export const stopClearing = z
  .strictObject({
    words: clearingWords,
    procedure: clearingWords.optional().meta({
      description:
        "Lifts another person's work lock: how a lead made sure that nobody is in it, and that " +
        'its placer has gone and knows of it.',
    }),
    certification: z
      .strictObject({
        report: z.string().trim().min(1).max(120).meta({ description: 'Which order or report.' }),
        repairs: clearingWords.meta({ description: 'What was repaired, as certified.' }),
      })
      .meta({ id: 'RepairCertification' })
      .optional()
      .meta({ description: 'Needed to clear what an inspector ordered.' }),
    signature,
  })
  .meta({ id: 'StopClearing' });
export const stopExtension = z
  .strictObject({
    until: instant.nullable().meta({ description: 'Null: nobody can say.' }),
    words,
    signature,
  })
  .meta({ id: 'StopExtension' });
export const stopDrop = z
  .strictObject({ words: z.string().max(2000).default(''), signature: signature.optional() })
  .meta({ id: 'StopDrop' });

const meterUse = z
  .record(z.string().max(40), z.number().min(0).max(1_000_000))
  .refine((use) => Object.keys(use).length <= 20, 'at most 20 meters')
  .meta({ description: 'By meter, in its unit.', maxProperties: 20 });

export const newFinding = z
  .strictObject({
    assetId: id.optional(),
    point: z.string().min(1).max(80).optional().meta({
      description: 'Key of a service point of the pattern that the asset follows.',
    }),
    part: z.string().trim().min(1).max(120).optional(),
    grade: z.enum(FINDING_GRADES).meta({
      id: 'FindingGrade',
      description: 'unfit stops what the place serves, at once.',
    }),
    words: z.string().max(2000),
    mendByDay: day.optional(),
    mendByUse: meterUse.default({}),
    signature: signature.optional(),
  })
  .meta({ id: 'NewFinding' });

export const finding = z
  .object({
    findingId: id,
    unitId: id.meta({ description: 'Where it was found.' }),
    assetId: id.nullable(),
    point: z.string().nullable(),
    part: z.string().nullable(),
    grade: z.enum(FINDING_GRADES),
    words: z.string(),
    functions: z.array(unitFunction).max(5),
    mendByDay: z.string().nullable(),
    mendByUse: z.record(z.string(), z.number()),
    reports: z.int().meta({ description: 'How often it was told.' }),
    foundAt: z.string(),
    gradedAt: z.string(),
    closed: z
      .object({
        how: z.enum(['sound', ...FINDING_ENDINGS]),
        at: z.string(),
        words: z.string(),
        by: z.object({ personId: id.nullable(), name: z.string() }).nullable(),
        cardId: id.nullable(),
      })
      .nullable(),
  })
  .meta({ id: 'Finding' });
export const recordedFinding = z
  .object({
    finding,
    stop: stop.nullable().meta({ description: 'What an unfit place stopped.' }),
    joined: z.boolean().meta({ description: 'It was open before; this is one more report.' }),
  })
  .meta({ id: 'RecordedFinding' });
export const findingReport = z
  .object({
    reportId: id,
    grade: z.enum(FINDING_GRADES),
    words: z.string(),
    source: z.object({ kind: z.enum(FINDING_SOURCES), id: z.string().nullable() }),
    by: z.object({ personId: id.nullable(), name: z.string() }),
    at: z.string(),
  })
  .meta({ id: 'FindingReport' });
export const findingClosing = z
  .strictObject({
    how: z.enum(FINDING_ENDINGS).meta({ id: 'FindingEnding' }),
    words,
    signature,
  })
  .meta({ id: 'FindingClosing' });
export const openQuery = z.object({
  open: z.enum(['true', 'false']).optional().meta({ description: 'Left out: all.' }),
});
