import { z } from 'zod';
import { CALL_CAUSES } from '../../domain/upkeep/task-call.ts';
import { id } from './common.ts';

const words = z.string().trim().min(1).max(2000);

export const newTaskCall = z
  .strictObject({
    assetId: id.optional().meta({ description: 'Needed when two assets have the task.' }),
    words: words.meta({ description: 'Why it is due now, whatever its meters say.' }),
  })
  .meta({ id: 'NewTaskCall' });

export const taskCall = z
  .object({
    callId: id,
    assetId: id,
    task: z.string(),
    at: z.string(),
    cause: z.object({ kind: z.enum(CALL_CAUSES), id: id.nullable() }),
    what: z.string().nullable().meta({ description: 'The word that stands for the cause.' }),
    words: z.string().nullable(),
    answered: z.boolean().meta({ description: 'It was done since.' }),
    withdrawn: z.object({ reason: z.string(), at: z.string() }).nullable(),
  })
  .meta({ id: 'TaskCall' });

export const taskCallWithdrawal = z
  .strictObject({ reason: words })
  .meta({ id: 'TaskCallWithdrawal' });
