import type { FastifyRequest } from 'fastify';
import { z } from 'zod';
import { Problem } from '../errors.ts';
import { id } from './schemas/common.ts';

export const gatewayParams = z.object({
  gatewayId: z
    .union([id, z.literal('me')])
    .meta({ description: 'With a gateway key, `me` is the gateway of the key.' }),
});

/** A gateway's key speaks for that gateway only; other keys name one. */
export function gatewayOf(req: FastifyRequest & { params: { gatewayId: string } }): string {
  const { gatewayId: own } = req.caller;
  const named = req.params.gatewayId;
  if (named === 'me') {
    if (own === null) throw new Problem('not_found', '`me` needs a gateway key.');
    return own;
  }
  if (own !== null && own !== named) {
    throw new Problem('not_this_gateway', 'The key is of another gateway.');
  }
  return named;
}
