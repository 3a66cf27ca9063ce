import { pinShape } from '../domain/access/pin.ts';
import { Problem } from '../errors.ts';
import type { Signature } from '../flows/sign.ts';
import { builder } from './builder.ts';

const unfit = (what: string) => new Problem('query_invalid', what);

/** A text that was given, as REST takes it. @throws Problem query_invalid */
export function words(name: string, given: string | null | undefined, most = 1000): string | null {
  if (given === null || given === undefined) return null;
  const text = given.trim();
  if (text === '' || text.length > most) throw unfit(`${name}: from 1 to ${most} characters.`);
  return text;
}

/** The same where it must be there. @throws Problem query_invalid */
export function mustSay(name: string, given: string | null | undefined, most?: number): string {
  const text = words(name, given, most);
  if (text === null) throw unfit(`${name} must be there.`);
  return text;
}

const requestMost = 200;

/** The client's own name of a request. @throws Problem query_invalid */
export function requestIdOf(given: string | null | undefined): string | null {
  if (given === null || given === undefined) return null;
  if (/^[\x21\x23-\x7e]+$/.test(given) && given.length <= requestMost) return given;
  throw unfit(`requestId: 1 to ${requestMost} printable characters.`);
}

export const SignatureInput = builder.inputType('SignatureInput', {
  description: '`personId` and `pin`, or `signIn` alone where that is enough. Only in a variable.',
  fields: (t) => ({
    personId: t.id(),
    pin: t.field({ type: 'Secret' }),
    signIn: t.field({ type: 'Secret' }),
  }),
});

/** Who signs. @throws Problem query_invalid */
export function signatureOf(given: {
  personId?: string | null | undefined;
  pin?: string | null | undefined;
  signIn?: string | null | undefined;
}): Signature {
  const { personId, pin, signIn } = given;
  if (signIn != null && personId == null && pin == null) {
    if (signIn.length > 0 && signIn.length <= 100) return { signIn };
  }
  const named = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/i.test(personId ?? '');
  if (signIn == null && named && pinShape.test(pin ?? '')) {
    return { personId: (personId as string).toLowerCase(), pin: pin as string };
  }
  throw unfit('signature: personId with a PIN of 4 to 8 digits, or signIn alone.');
}
