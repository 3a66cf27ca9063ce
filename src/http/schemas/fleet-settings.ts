import { z } from 'zod';
import { name } from './common.ts';

const oneMan = z.boolean().meta({
  description:
    'One person alone does the work and checks it. Lift-critical work is then checked by the one ' +
    'who did it, which every record says, and only while nobody else may work on lifts.',
});

export const fleet = z
  .object({ fleetId: z.int(), name: z.string(), oneMan, createdAt: z.string() })
  .meta({ id: 'Fleet' });

export const fleetChange = z
  .strictObject({ name: name.optional(), oneMan: oneMan.optional() })
  .refine((body) => body.name !== undefined || body.oneMan !== undefined, 'say what is otherwise')
  .meta({ id: 'FleetChange' });
