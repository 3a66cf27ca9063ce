import { z } from 'zod';
import { MAX_TASK_CAUTIONS } from '../../domain/upkeep/task-cautions.ts';
import { day, id, instant, note } from './common.ts';
import { signature } from './signature.ts';
import { functions, limits, shownLimits, unitFunction } from './stop.ts';
import { nextVisit } from './visit.ts';

export const taskStatus = z
  .enum(['ahead', 'in_window', 'overrun', 'unknown'])
  .meta({ id: 'TaskStatus' });

const milestone = z
  .object({
    day: z.string().nullable(),
    past: z.boolean(),
    by: z
      .string()
      .nullable()
      .meta({ description: 'The meter, `calendar`, `deferral`, or `call`.' }),
    noDay: z.string().nullable().meta({ description: 'Why there is no day.' }),
  })
  .meta({ id: 'Milestone' });

const level = z.object({
  at: z.number(),
  left: z.number(),
  day: z.string().nullable(),
  past: z.boolean(),
});

export const measure = z
  .object({
    measure: z.string(),
    unit: z.enum(['hours', 'cycles', 'km', 'days']),
    used: z.number().meta({ description: 'Since it was last done, severity included.' }),
    most: z.number().meta({ description: 'At most, when nobody hears from the meter.' }),
    known: z.enum(['calendar', 'known', 'stale', 'none']),
    silentSince: z.string().nullable(),
    opens: level,
    full: level,
    limit: level,
    noDay: z.string().nullable(),
  })
  .meta({ id: 'TaskMeasure' });

export const task = z
  .object({
    assetId: id,
    task: z.string(),
    name: z.string(),
    status: taskStatus,
    knownStatus: taskStatus.meta({ description: 'What the known use alone says.' }),
    driver: z.string().nullable(),
    opens: milestone,
    full: milestone,
    limit: milestone,
    overrunSince: z.string().nullable(),
    effect: z
      .object({
        effect: z.enum(['none', 'warn', 'limited', 'no']),
        functions: z.array(z.string()).max(10),
      })
      .nullable(),
    measures: z.array(measure).max(10),
    unknownBecause: z.array(z.string()).max(10),
    forecast: z.object({
      method: z.string().meta({ description: 'How the days to come were reckoned.' }),
      partial: z.array(z.string()).max(10),
    }),
    deferral: z
      .object({
        state: z.string(),
        approver: z.string(),
        restriction: z.string().nullable(),
        endedOn: z.string().nullable(),
        reason: z.string().nullable(),
      })
      .nullable(),
    called: z
      .object({
        day: z.string(),
        cause: z.string(),
        what: z.string().nullable(),
        calls: z.int(),
      })
      .nullable()
      .meta({ description: 'What called it due now; it stays so until it is done after that.' }),
    reasons: z.array(z.string()).max(20),
    cautions: z
      .array(z.string())
      .max(MAX_TASK_CAUTIONS)
      .meta({ description: 'Of the task and of its service points. Show them with the work.' }),
    assessedAt: z.string(),
  })
  .meta({ id: 'UpkeepTask' });
export const unitTasks = z
  .object({ unitId: id, tasks: z.array(task).max(2000) })
  .meta({ id: 'UnitTasks' });

export const newDone = z
  .strictObject({
    at: instant,
    assetId: id.optional().meta({ description: 'Needed when two assets have the task.' }),
    estimated: z.boolean().default(false),
    note: note.optional(),
  })
  .meta({ id: 'NewDone' });
export const done = z
  .object({
    doneId: id,
    assetId: id,
    task: z.string(),
    at: z.string(),
    estimated: z.boolean(),
    note: z.string().nullable(),
    cardId: id.nullable().meta({ description: 'The job card that it was done on.' }),
    recordedAt: z.string(),
    voided: z.object({ reason: z.string(), at: z.string() }).nullable(),
  })
  .meta({ id: 'Done' });
export const voiding = z
  .strictObject({ reason: z.string().trim().min(1).max(2000) })
  .meta({ id: 'Voiding' });

export const newDeferral = z
  .strictObject({
    assetId: id.optional(),
    untilDay: day,
    untilUse: z
      .record(z.string().max(40), z.number().min(0).max(1_000_000))
      .refine((use) => Object.keys(use).length <= 20, 'at most 20 meters')
      .meta({
        description: 'By meter, what may be used meanwhile, in its unit.',
        maxProperties: 20,
      })
      .default({}),
    restriction: z.string().max(2000).default('').meta({
      description: 'What the unit may not do meanwhile; words alone limit readiness in words.',
    }),
    effect: z.enum(['none', 'limited', 'no']).optional().meta({
      description: 'What it does to readiness. Left out: it limits, where there is a restriction.',
    }),
    functions: functions.optional().meta({ description: 'Left out: those of the task.' }),
    limits: limits.default({}),
    reason: z.string().trim().min(1).max(2000),
    signature,
  })
  .meta({ id: 'NewDeferral', description: 'The lead who signs is the one who approves it.' });
export const deferral = z
  .object({
    deferralId: id,
    assetId: id,
    task: z.string(),
    untilDay: z.string(),
    untilUse: z.record(z.string(), z.number()),
    approver: z.string(),
    approverId: id.nullable(),
    restriction: z.string(),
    effect: z.enum(['none', 'limited', 'no']),
    functions: z.array(unitFunction).max(5),
    limits: shownLimits,
    reason: z.string(),
    from: z.string(),
    endedAt: z.string().nullable(),
  })
  .meta({ id: 'Deferral' });
export const listedDeferral = z
  .object({
    ...deferral.shape,
    unitId: id.nullable().meta({ description: 'The unit that its asset is on now.' }),
    runs: z.boolean().meta({ description: 'False: ended by its day, its use, or because done.' }),
  })
  .meta({ id: 'ListedDeferral' });

/** A day that some year has: the rules of severity refuse the others, and would do so for ever. */
const monthDay = z
  .string()
  .regex(
    /^((0[1-9]|1[0-2])-(0[1-9]|[12]\d)|(0[13-9]|1[0-2])-30|(0[13578]|1[02])-31)$/,
    'must be MM-DD',
  );
export const newSeverity = z
  .strictObject({
    kind: z.enum(['salt', 'dust', 'heavy_use']),
    yardId: id.optional(),
    unitId: id.optional(),
    fromDay: day,
    toDay: day.optional(),
    season: z.strictObject({ from: monthDay, to: monthDay }).optional(),
  })
  .refine((body) => (body.yardId === undefined) !== (body.unitId === undefined), {
    message: 'give yardId or unitId, one of them',
  })
  .refine((body) => body.toDay === undefined || body.toDay >= body.fromDay, {
    message: 'toDay must not be before fromDay',
  })
  .meta({ id: 'NewSeverity' });
export const severity = z
  .object({
    severityId: id,
    kind: z.string(),
    yardId: id.nullable(),
    unitId: id.nullable(),
    fromDay: z.string(),
    toDay: z.string().nullable(),
    season: z.object({ from: z.string(), to: z.string() }).nullable(),
  })
  .meta({ id: 'Severity' });

export const bringInUnit = z
  .object({
    unitId: id,
    number: z.string(),
    yardId: id.nullable(),
    yardName: z.string().nullable(),
    status: taskStatus,
    rank: z.int().meta({ description: '1 is the most pressing.' }),
    pressOn: z
      .string()
      .nullable()
      .meta({
        description:
          'By status: overrun since; in_window and unknown: the last day inside, as far as is ' +
          'known; ahead: the day it opens. Null when there is none.',
      }),
    reasons: z
      .array(
        z.object({
          assetId: id.nullable().meta({ description: "Null: the unit's own reason." }),
          task: z.string().nullable(),
          status: taskStatus,
          rank: z.int(),
          text: z.string(),
        }),
      )
      .max(20),
    moreReasons: z.int(),
    visit: nextVisit.nullable().meta({ description: 'The visit that it is on, or its next one.' }),
    assessedAt: z.string(),
  })
  .meta({ id: 'BringInUnit' });
