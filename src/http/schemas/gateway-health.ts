import { z } from 'zod';
import { id } from './common.ts';
import { counter, gatewayState } from './fleet.ts';

const seq = z.int().min(0);
const ranges = (most: number) => z.array(z.tuple([seq, seq])).max(most);
const count = z.int().min(0);
const upTo1000 = count.max(1000);
const instant = z.string().meta({ description: 'RFC 3339, UTC.' });

const contact = z
  .object({
    state: z.enum(['heard', 'silent', 'never']).meta({
      description: '`never`: no post came yet, and none had to.',
    }),
    lastPostAt: instant.nullable(),
    silentSince: instant.nullable(),
    silentFrom: instant.nullable().meta({
      description: 'From here on it is (or will be) called silent.',
    }),
    longestGapSeconds: z.number().meta({
      description: 'Its habit: the longest gap between posts of about the last month.',
    }),
    allowedGapSeconds: z.number(),
  })
  .meta({ id: 'GatewayContact' });

const clock = z
  .object({
    offsetMs: z.int().nullable().meta({
      description: 'Device clock minus ours when it last said so; below zero is behind.',
    }),
    fastMs: z.int().meta({ description: 'Proven fast by so much now; 0: not.' }),
    facts: z
      .array(z.object({ seenAt: instant, offsetMs: z.int() }))
      .max(20)
      .meta({ description: 'When it was proven fast, or right again (0); newest first.' }),
  })
  .meta({ id: 'GatewayClock' });

const epochHealth = z
  .object({
    epoch: z.int(),
    cause: z.string(),
    openedAt: instant,
    contiguous: seq.nullable(),
    highest: seq.nullable(),
    missing: ranges(20).meta({ description: 'The lowest gaps.' }),
    missingNumbers: count.meta({ description: 'All of them.' }),
    lost: ranges(20).meta({ description: 'Declared lost; the lowest.' }),
    lostNumbers: count,
    conflicts: upTo1000.meta({
      description: 'Numbers sent with two values that wait for a person; 1000 is that or more.',
    }),
    refused: upTo1000.meta({ description: 'Refused for good; 1000 is that or more.' }),
  })
  .meta({ id: 'EpochHealth' });

const counterHealth = z
  .object({
    counter: z.string(),
    meter: z.string(),
    lastReadingAt: instant.nullable().meta({ description: 'The last that counted.' }),
    setAside: count.meta({ description: 'Readings that fit nothing and wait for a person.' }),
    waiting: upTo1000.meta({ description: 'Pieces of work not done yet; 1000 is that or more.' }),
    waitingSince: instant.nullable(),
    epochsInAll: count,
    epochs: z.array(epochHealth).max(10).meta({ description: 'The newest, newest last.' }),
  })
  .meta({ id: 'CounterHealth' });

const suspect = z
  .object({
    assetId: id,
    meter: z.string(),
    counter: z.string(),
    witness: z.string().meta({ description: 'The meter that went on meanwhile.' }),
    lastCountedOn: z.string().nullable(),
    days: z.int().meta({ description: 'Days of use since.' }),
    witnessUse: z.number().meta({ description: 'In the unit of the witness.' }),
    expected: z.int().meta({ description: 'Counts: cycles, steps of 0.05 h, or kilometres.' }),
  })
  .meta({
    id: 'SwitchSuspect',
    description: 'A counter that stood still while the unit worked, when it was told.',
  });

export const gatewayHealth = z
  .object({
    gatewayId: id,
    serial: z.string(),
    asOf: instant,
    unit: z.object({ unitId: id, number: z.string() }).nullable(),
    states: z.array(gatewayState).max(5).meta({ description: 'Empty: nothing is wrong with it.' }),
    reasons: z
      .array(z.object({ code: z.string(), text: z.string() }))
      .max(400)
      .meta({ description: 'What is to be said of it; times are of the unit’s home yard.' }),
    contact,
    suspects: z.array(suspect).max(100),
    clock,
    counters: z.array(counterHealth).max(64),
  })
  .meta({ id: 'GatewayHealth' });

const issuedEpoch = z
  .object({
    epoch: z.int(),
    cause: z.string(),
    issuedAt: instant,
    contiguous: seq.nullable(),
    highest: seq.nullable(),
    missing: ranges(100),
  })
  .meta({ id: 'IssuedEpoch' });
const { epochs: _, ...declared } = counter.shape;
const ownCounter = z
  .object({
    ...declared,
    epoch: z.int().meta({ description: 'The one that counts now: the highest.' }),
    epochsInAll: count,
    epochs: z.array(issuedEpoch).max(20).meta({ description: 'The newest, newest last.' }),
  })
  .meta({ id: 'OwnCounter' });

export const ownStanding = z
  .object({
    gatewayId: id,
    serial: z.string(),
    serverTime: instant,
    serverTimeMs: z.int(),
    lastPostAt: instant.nullable(),
    counters: z.array(ownCounter).max(64),
  })
  .meta({ id: 'OwnStanding' });
