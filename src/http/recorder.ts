import type { FastifyRequest } from 'fastify';
import type { Recorder } from '../flows/record-upkeep.ts';

/** Who says so, as the key tells. */
export const recorder = (req: FastifyRequest): Recorder => {
  const { keyId, name, role } = req.caller;
  return { keyId, name, role };
};
