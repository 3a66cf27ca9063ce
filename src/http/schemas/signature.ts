import { z } from 'zod';
import { pinShape } from '../../domain/access/pin.ts';
import { id } from './common.ts';

export const pin = z.string().max(8).regex(pinShape).meta({
  description: 'Four to eight digits.',
  format: 'password',
  writeOnly: true,
});

const byPin = z.strictObject({ personId: id, pin }).meta({ id: 'PinSignature' });
const bySignIn = z
  .strictObject({
    signIn: z
      .string()
      .min(1)
      .max(100)
      .meta({ description: 'The token of a sign-in, with the key that asked for it.' }),
  })
  .meta({ id: 'SignInSignature' });

/** The word of a person: PIN, or token of a sign-in where that is enough. */
export const signature = z.union([byPin, bySignIn]).meta({
  id: 'Signature',
  description:
    'Who signs. What changes what a unit may do wants the PIN itself; for the rest a sign-in is ' +
    'enough. It is checked on each request, repeats too, and kept nowhere.',
});
