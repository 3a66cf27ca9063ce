import type { FastifyInstance } from 'fastify';
import fp from 'fastify-plugin';
import { windowMs } from '../../domain/access/allowance.ts';
import { Problem } from '../../errors.ts';
import type { RequestLimiter, RequestVerdict } from '../../flows/limit-requests.ts';

const windowS = windowMs / 1000;

/**
 * The fields of draft-ietf-httpapi-ratelimit-headers-11, which are lists of structured fields
 * (RFC 9651): the policy by name with its quota and window, and what is left of it for how long.
 */
export function limitFields({ policy, most, left, seconds }: RequestVerdict) {
  return {
    'ratelimit-policy': `"${policy}";q=${most};w=${windowS}`,
    ratelimit: `"${policy}";r=${left};t=${seconds}`,
  };
}

/** Counts the requests of each key, says what is left, and refuses what is beyond. */
export const requestLimits = fp(
  async (app: FastifyInstance, { limiter }: { limiter: RequestLimiter }) => {
    app.addHook('onRequest', async (req, reply) => {
      if (!req.routeOptions.config.duty) return;
      const verdict = await limiter.count(req.caller);
      if (verdict === null) return;
      reply.headers(limitFields(verdict));
      if (verdict.allowed) return;
      throw new Problem(
        'rate_limited',
        `More than ${verdict.most} requests in ${windowS} seconds came with this key.`,
        { retryAfterS: verdict.seconds },
      );
    });
  },
  { name: 'request-limits', dependencies: ['known-key'] },
);
