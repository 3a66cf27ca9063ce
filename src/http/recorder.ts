import type { FastifyRequest } from 'fastify';
import type { Actor } from '../flows/actor.ts';
import type { Recorder } from '../flows/record-upkeep.ts';
import type { Signer } from '../flows/sign.ts';

/** Who says so, as the key tells. */
export const recorder = (req: FastifyRequest): Recorder => {
  const { keyId, name, role } = req.caller;
  return { keyId, name, role };
};

/** Who signed it. Throws on a route that asks for no signature. */
export const signer = (req: FastifyRequest): Signer => {
  if (req.signer === null) throw new Error(`${req.url} has no signer`);
  return req.signer;
};

/** Who does it: the person who signed it, else the key is all that is known. */
export const actor = (req: FastifyRequest): Actor =>
  req.signer ?? { personId: null, keyId: req.caller.keyId, name: req.caller.name };

/** Who did it: the person who signed, else the one who is named. */
export const doer = (req: FastifyRequest, name: string | undefined) =>
  req.signer
    ? { personId: req.signer.personId, name: req.signer.name }
    : { personId: null, name: name ?? req.caller.name };
