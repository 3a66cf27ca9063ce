import { z } from 'zod';
import { instant } from './common.ts';

export const newDeletion = z.strictObject({}).meta({ id: 'NewDeletion' });

export const deletionQuestion = z
  .object({
    fleetId: z.int(),
    name: z.string().meta({ description: 'To be typed when confirming.' }),
    token: z.string().meta({ description: 'Goes into the confirmation; shown only here.' }),
    tokenUntil: z.string(),
    rows: z
      .record(z.string(), z.int())
      .meta({ description: 'What will be deleted: rows by table.' }),
  })
  .meta({ id: 'DeletionQuestion' });

export const newConfirmation = z
  .strictObject({
    token: z.string().min(1).max(200),
    name: z.string().max(200).meta({ description: "The fleet's name, letter by letter." }),
  })
  .meta({ id: 'NewDeletionConfirmation' });

export const deletionConfirmed = z
  .object({
    confirmedAt: instant,
    beginsAt: instant.meta({
      description: 'The deletion begins then; every key of the fleet has ended before.',
    }),
  })
  .meta({ id: 'DeletionConfirmed' });
