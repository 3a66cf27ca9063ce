import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { roles } from '../../domain/access/role.ts';
import { instantText, instantTextOrNull } from '../../domain/instant.ts';
import { createKey, endKey } from '../../flows/keys.ts';
import { listKeys, type ShownKey } from '../../store/api-key.ts';
import { listRoute, postRoute } from '../route.ts';
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

const listedKey = z
  .object({
    keyId: id,
    prefix: z.string().meta({ description: 'How the key begins.' }),
    role: z.enum(roles),
    name: z.string(),
    gatewayId: id.nullable(),
    createdAt: z.string(),
    lastUsedAt: z.string().nullable().meta({ description: 'To about ten minutes.' }),
    revokedAt: z.string().nullable(),
  })
  .meta({ id: 'ListedKey' });

const show = ({ createdAtMs, revokedAtMs, lastUsedAtMs, ...rest }: ShownKey) => ({
  ...rest,
  createdAt: instantText(createdAtMs),
  lastUsedAt: instantTextOrNull(lastUsedAtMs),
  revokedAt: instantTextOrNull(revokedAtMs),
});

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
  listRoute(app, deps, {
    url: '/v1/keys',
    tag: 'access',
    summary: 'List API keys, of gateways too, without what opens anything',
    duty: 'keep_keys',
    item: listedKey,
    key: ['id'] as const,
    keyOf: (row: ShownKey) => [row.keyId],
    show,
    read: (tx, req, after, limit) => listKeys(tx, req.caller.fleetId, after, limit),
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
