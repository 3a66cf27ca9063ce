/** What the posts of devices have in common: their clock, and gzip. */
import { pipeline } from 'node:stream';
import { createGunzip, type Gunzip } from 'node:zlib';
import type { FastifyRequest, preParsingHookHandler } from 'fastify';
import { z } from 'zod';
import { parseInstant } from '../domain/instant.ts';
import { intakeBounds } from '../domain/usage/reading-intake.ts';
import { Problem } from '../errors.ts';

export const deviceHeaders = () =>
  z.object({
    'device-time': z
      .string()
      .max(64)
      .optional()
      .meta({ description: "The device's clock at transmission: epoch ms, or RFC 3339." }),
  });

/** The device's clock when it sent this: epoch milliseconds, or RFC 3339. */
export function deviceTimeMs(req: FastifyRequest): number | null {
  const header = req.headers['device-time'];
  if (header === undefined) return null;
  const text = String(header);
  const ms = /^\d{1,16}$/.test(text) ? Number(text) : parseInstant(text);
  if (ms === null || ms > intakeBounds.atMaxMs) {
    throw new Problem('header_invalid', 'Device-Time: epoch milliseconds, or RFC 3339.');
  }
  return ms;
}

/** Unpacks a gzipped body on its way to the parser, which bounds what comes out of it. */
export const unpack: preParsingHookHandler = (req, _reply, payload, done) => {
  if (req.headers['content-encoding'] !== 'gzip') return done(null, payload);
  const unpacked = createGunzip() as Gunzip & { receivedEncodedLength: number };
  unpacked.receivedEncodedLength = 0;
  // It may find a second fault when nobody reads it any more: that must not end the process.
  unpacked.on('error', () => undefined);
  payload.on('data', (chunk: Buffer) => {
    unpacked.receivedEncodedLength += chunk.length;
  });
  // A client that goes away must not leave the parser waiting.
  pipeline(payload, unpacked, () => undefined);
  done(null, unpacked);
};
