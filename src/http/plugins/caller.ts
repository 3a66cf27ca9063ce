import type { FastifyInstance, FastifyRequest } from 'fastify';
import fp from 'fastify-plugin';
import type pg from 'pg';
import type { Clock } from '../../clock.ts';
import { type Duty, type Role, roleMay } from '../../domain/access/role.ts';
import { Problem } from '../../errors.ts';
import { findKey, noteKeyUse } from '../../flows/find-key.ts';
import type { Signer } from '../../flows/sign.ts';

/** Who is asking, from the API key. */
export interface Caller {
  fleetId: number;
  keyId: string;
  role: Role;
  gatewayId: string | null;
  name: string;
}

declare module 'fastify' {
  interface FastifyRequest {
    caller: Caller;
    /** Who signed; null where the route asks for no signature, or may do without. */
    signer: Signer | null;
  }
  interface FastifyContextConfig {
    /** What a key must be allowed to do here; routes without it are open. */
    duty?: Duty;
  }
}

/** A revoked key lives on for at most this long in a process that has just seen it. */
const keyCacheMs = 5_000;
const keyCacheMax = 20_000;
const touchEveryMs = 600_000;

interface Known {
  caller: Caller;
  untilMs: number;
  touchedAtMs: number;
}

function bearer(req: FastifyRequest): string {
  const header = req.headers.authorization;
  if (!header) throw new Problem('key_missing', 'Send Authorization: Bearer <key>.');
  const match = /^Bearer ([\x21-\x7e]{8,300})$/i.exec(header);
  if (!match) throw new Problem('key_unknown', 'The Authorization header holds no key.');
  return match[1] as string;
}

/** Resolves the key before the body is read. */
export const caller = fp(
  async (app: FastifyInstance, { pool, clock }: { pool: pg.Pool; clock: Clock }) => {
    const known = new Map<string, Known>();
    app.decorateRequest('caller');
    app.decorateRequest('signer', null);

    async function resolve(secret: string): Promise<Caller> {
      const nowMs = clock.nowMs();
      const hit = known.get(secret);
      if (hit && nowMs < hit.untilMs && nowMs >= hit.untilMs - keyCacheMs) return hit.caller;
      const key = await findKey(pool, secret);
      if (!key) {
        known.delete(secret);
        throw new Problem('key_unknown', 'The key is not known, or was revoked.');
      }
      const { lastUsedAtMs, ...found } = key;
      let touchedAtMs = hit?.touchedAtMs ?? lastUsedAtMs ?? 0;
      if (nowMs - touchedAtMs >= touchEveryMs) {
        touchedAtMs = nowMs;
        await noteKeyUse(pool, found.fleetId, found.keyId, nowMs);
      }
      if (known.size >= keyCacheMax) known.delete(known.keys().next().value as string);
      known.set(secret, { caller: found, untilMs: nowMs + keyCacheMs, touchedAtMs });
      return found;
    }

    app.addHook('onRequest', async (req) => {
      if (!req.routeOptions.config.duty) return;
      req.caller = await resolve(bearer(req));
    });
  },
  { name: 'known-key', dependencies: ['problems'] },
);

/** Checks the role of the key against the route's duty. */
export const duties = fp(
  async (app: FastifyInstance) => {
    app.addHook('onRequest', async (req) => {
      const duty = req.routeOptions.config.duty;
      if (!duty || roleMay(req.caller.role, duty)) return;
      throw new Problem('role_not_allowed', `Keys of the role ${req.caller.role} may not do this.`);
    });
  },
  { name: 'duties', dependencies: ['known-key'] },
);
