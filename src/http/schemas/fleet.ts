import { z } from 'zod';
import { isTimeZone } from '../../domain/usage/local-day.ts';
import { assetKinds } from '../../domain/usage/meter.ts';
import { gatewayStates } from '../../store/gateway.ts';
import { assetKind, id, instant, intMost, name, note } from './common.ts';

const timeZone = z
  .string()
  .max(64)
  .refine(isTimeZone, 'is not an IANA time zone')
  .meta({ description: 'IANA time zone.', example: 'America/Chicago' });

export const newYard = z.strictObject({ name, timeZone }).meta({ id: 'NewYard' });
export const yard = z
  .object({ yardId: id, name: z.string(), timeZone: z.string(), createdAt: z.string() })
  .meta({ id: 'Yard' });

const changesSomething = (body: object) => Object.values(body).some((value) => value !== undefined);
const sayWhat = 'say what is otherwise';
const unitNumber = z.string().trim().min(1).max(40);
const serial = z.string().trim().min(1).max(80);

export const yardChange = z
  .strictObject({
    name: name.optional(),
    timeZone: timeZone
      .optional()
      .meta({ description: 'Given when the old one was wrong: all its days are reckoned anew.' }),
  })
  .refine(changesSomething, sayWhat)
  .meta({ id: 'YardChange' });

const furnishedBy = name.meta({
  description: 'Name of the person furnishing it, where the fleet does not own it.',
});
/** What 49 CFR 396.3(b)(1) asks for besides the serial number; the tires are the chassis's. */
const identity = {
  make: z.string().trim().min(1).max(80),
  modelYear: z.int().min(1900).max(2200),
  tireSize: z.string().trim().min(1).max(80),
};

export const newUnit = z
  .strictObject({
    number: unitNumber.meta({ description: 'What dispatch calls it.' }),
    homeYardId: id,
    since: instant
      .optional()
      .meta({ description: 'When it came to this yard; default: for ever.' }),
    note: note.optional(),
    furnishedBy: furnishedBy.optional(),
  })
  .meta({ id: 'NewUnit' });
export const unit = z
  .object({
    unitId: id,
    number: z.string(),
    homeYardId: id.nullable(),
    presentYardId: id.nullable(),
    note: z.string().nullable(),
    furnishedBy: z.string().nullable(),
    createdAt: z.string(),
  })
  .meta({ id: 'Unit' });

export const unitChange = z
  .strictObject({
    number: unitNumber.optional(),
    note: note.nullable().optional(),
    furnishedBy: furnishedBy.nullable().optional(),
    homeYardId: id.optional().meta({ description: 'Its days follow the time zone of this yard.' }),
    presentYardId: id.optional(),
    at: instant.optional().meta({ description: 'When it came to the yard; default: now.' }),
  })
  .refine(({ at: _, ...change }) => changesSomething(change), sayWhat)
  .meta({ id: 'UnitChange' });

export const newAsset = z
  .strictObject({
    kind: assetKind,
    serial,
    patternId: id.optional(),
    patternVersion: z
      .int()
      .min(1)
      .max(intMost)
      .optional()
      .meta({ description: 'Default: the newest.' }),
    note: note.optional(),
    make: identity.make.optional(),
    modelYear: identity.modelYear.optional(),
    tireSize: identity.tireSize.optional(),
  })
  .meta({ id: 'NewAsset' });
export const assetChange = z
  .strictObject({
    serial: serial.optional(),
    note: note.nullable().optional(),
    make: identity.make.nullable().optional(),
    modelYear: identity.modelYear.nullable().optional(),
    tireSize: identity.tireSize.nullable().optional(),
    patternId: id.optional(),
    patternVersion: z.int().min(1).max(intMost).optional().meta({
      description: 'Default, with a patternId: the newest. Work that is done stays done.',
    }),
  })
  .refine(changesSomething, sayWhat)
  .meta({ id: 'AssetChange' });
export const asset = z
  .object({
    assetId: id,
    kind: assetKind,
    serial: z.string(),
    patternId: id.nullable(),
    patternVersion: z.int().nullable(),
    unitId: id.nullable().meta({ description: 'The unit that it is on now.' }),
    note: z.string().nullable(),
    make: z.string().nullable(),
    modelYear: z.int().nullable(),
    tireSize: z.string().nullable(),
    createdAt: z.string(),
  })
  .meta({ id: 'Asset' });

export const newInstall = z
  .strictObject({
    unitId: id,
    assetId: id.optional(),
    gatewayId: id.optional(),
    from: instant,
    to: instant.optional(),
    move: z
      .boolean()
      .default(false)
      .meta({ description: 'End the install where it is now at `from`, and begin this one.' }),
    note: note.optional(),
  })
  .refine((body) => (body.assetId === undefined) !== (body.gatewayId === undefined), {
    message: 'give assetId or gatewayId, one of them',
  })
  .meta({ id: 'NewInstall' });
export const install = z
  .object({
    installId: id,
    unitId: id,
    assetId: id.nullable(),
    gatewayId: id.nullable(),
    from: z.string(),
    to: z.string().nullable(),
    note: z.string().nullable(),
  })
  .meta({ id: 'Install' });

const reason = z.string().trim().min(1).max(2000);
export const installChange = z
  .strictObject({
    unitId: id.optional(),
    from: instant.optional(),
    to: instant.nullable().optional().meta({ description: 'Null: it is still there.' }),
    note: note.nullable().optional(),
    reason: reason.meta({ description: 'Why what was said before was wrong.' }),
  })
  .refine(({ reason: _, ...change }) => Object.keys(change).length > 0, {
    message: 'say what is otherwise: unitId, from, to or note',
  })
  .meta({ id: 'InstallChange' });
export const installEnd = z
  .strictObject({ at: instant, reason: reason.optional() })
  .meta({ id: 'InstallEnd' });
export const installWithdrawal = z.strictObject({ reason }).meta({ id: 'InstallWithdrawal' });
export const installSwap = z
  .strictObject({
    unitIds: z.tuple([id, id]),
    what: z
      .enum([...assetKinds, 'gateway'])
      .meta({ description: 'The assets of one kind, or the gateways.' }),
    at: instant,
    reason,
  })
  .refine(({ unitIds }) => unitIds[0] !== unitIds[1], { message: 'unitIds: two units' })
  .meta({ id: 'InstallSwap' });
export const swappedInstalls = z
  .object({ installs: z.array(install).max(100) })
  .meta({ id: 'SwappedInstalls' });

const installSaid = z.object({
  unitId: id,
  from: z.string(),
  to: z.string().nullable(),
  note: z.string().nullable(),
});
export const installWithHistory = z
  .object({
    ...install.shape,
    withdrawn: z.boolean().meta({ description: 'It was said that it never was.' }),
    corrections: z
      .array(
        z.object({
          correctionId: id,
          kind: z.enum(['changed', 'ended', 'moved', 'swapped', 'withdrawn']),
          before: installSaid,
          after: installSaid.nullable(),
          reason: z.string(),
          by: z.string(),
          at: z.string(),
        }),
      )
      .max(500)
      .meta({ description: 'What it said before, oldest first.' }),
  })
  .meta({ id: 'InstallWithHistory' });

export const newGateway = z
  .strictObject({ serial, note: note.optional() })
  .meta({ id: 'NewGateway' });
export const gatewayChange = z
  .strictObject({ serial: serial.optional(), note: note.nullable().optional() })
  .refine(changesSomething, sayWhat)
  .meta({ id: 'GatewayChange' });
/** What people say of a gateway, without what its posts change all the time. */
export const gatewayRecord = z
  .object({ gatewayId: id, serial: z.string(), note: z.string().nullable(), createdAt: z.string() })
  .meta({ id: 'GatewayRecord' });
export const gatewayState = z.enum(gatewayStates).meta({
  id: 'GatewayState',
  description: '`suspect`: a meter stands still while the truck works.',
});
export const gatewayQuery = z.object({
  state: gatewayState.optional().meta({ description: 'Only those that are in this state.' }),
});
export const gateway = z
  .object({
    gatewayId: id,
    serial: z.string(),
    note: z.string().nullable(),
    createdAt: z.string(),
    lastPostAt: z.string().nullable(),
    states: z.array(gatewayState).max(3).meta({ description: 'Empty: nothing is wrong with it.' }),
    key: z.string().nullable().optional().meta({ description: 'Shown once, at creation.' }),
  })
  .meta({ id: 'Gateway' });

export const counterDeclaration = z
  .strictObject({
    counter: z
      .string()
      .regex(/^[a-z][a-z0-9_]{0,39}$/)
      .meta({ description: 'Its name in posts.' }),
    meter: z.string().max(40),
    resolution: z
      .number()
      .positive()
      .max(1_000_000)
      .meta({ description: 'One tick, in the unit of the meter.', example: 0.05 }),
    widthBits: z.int().min(8).max(64).default(32),
    scope: z.enum(['controller', 'gateway']).default('gateway'),
    controller: z.string().trim().min(1).max(80).optional().meta({
      description: 'Serial of the controller that keeps the value; scope controller only.',
    }),
    basis: z
      .string()
      .regex(/^[a-z][a-z0-9_]{0,39}$/)
      .default('device'),
    basisVersion: z.int().min(1).max(1000).default(1),
  })
  .refine((c) => (c.scope === 'controller') === (c.controller !== undefined), {
    message: 'a counter of scope controller names its controller, another does not',
  })
  .meta({ id: 'CounterDeclaration' });
export const newCounters = z
  .strictObject({ counters: z.array(counterDeclaration).min(1).max(64) })
  .meta({ id: 'NewCounters' });
export const counter = z
  .object({
    counter: z.string(),
    meter: z.string(),
    resolution: z.number(),
    widthBits: z.int(),
    scope: z.string(),
    controller: z.string().nullable(),
    basis: z.string(),
    basisVersion: z.int(),
    epochs: z
      .array(
        z.object({
          epoch: z.int(),
          cause: z.string(),
          contiguous: z.int().nullable(),
          highest: z.int().nullable(),
        }),
      )
      .max(1000),
  })
  .meta({ id: 'Counter' });
export const counters = z.object({ counters: z.array(counter).max(64) }).meta({ id: 'Counters' });

export const newEpoch = z
  .strictObject({
    counter: z.string().max(40),
    cause: z.enum(['sequence_lost', 'counter_reset', 'controller_replaced']),
  })
  .meta({ id: 'NewEpoch' });
export const epoch = z
  .object({ counter: z.string(), epoch: z.int(), cause: z.string() })
  .meta({ id: 'Epoch' });
