import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { roles } from '../../domain/access/role.ts';
import { createKey, endKey } from '../../flows/keys.ts';
import { postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { id, name } from '../schemas/common.ts';

const newKey = z
  .strictObject({ role: z.enum(roles).exclude(['gateway']), name })
  .meta({ id: 'NewKey' });
const key = z
  .object({
    keyId: id,
    prefix: z.string(),
    role: z.string(),
    name: z.string(),
    key: z.string().nullable().meta({ description: 'Shown once, in the first answer only.' }),
  })
  .meta({ id: 'Key' });

export async function keyRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  postRoute(app, deps, {
    url: '/v1/keys',
    tag: 'access',
    summary: 'Make an API key; the answer shows it, once',
    duty: 'keep_keys',
    body: newKey,
    answer: key,
    run: async (work, body) => {
      const made = await createKey(work, { ...body, gatewayId: null });
      const { keyId, prefix, secret } = made;
      return { body: { keyId, prefix, ...body, key: null }, once: { key: secret } };
    },
  });
  postRoute(app, deps, {
    url: '/v1/keys/:keyId/revoke',
    tag: 'access',
    summary: 'End an API key; it is refused everywhere within five seconds',
    duty: 'keep_keys',
    status: 200,
    params: z.object({ keyId: id }),
    body: z.strictObject({}).meta({ id: 'RevokeKey' }),
    answer: z.object({ keyId: id }).meta({ id: 'RevokedKey' }),
    run: async (work, _body, req) => {
      await endKey(work, req.params.keyId);
      return { body: { keyId: req.params.keyId } };
    },
  });
}
