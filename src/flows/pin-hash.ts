import { randomBytes, scrypt, timingSafeEqual } from 'node:crypto';
import {
  hashBytes,
  type PinHash,
  parsePinHash,
  printPinHash,
  saltBytes,
} from '../domain/access/pin-hash.ts';
import { Problem } from '../errors.ts';

/**
 * What a hash costs: 32 MiB and some tenths of a second, the least that OWASP's Password Storage
 * Cheat Sheet names for scrypt. A PIN has few digits, so that no hash withstands who has the
 * database; it must not fall at once.
 */
const cost = { costLog2: 15, blockSize: 8, parallel: 3 } as const;
const memoryMost = 64 * 1024 * 1024;

function derive(pin: string, { costLog2, blockSize, parallel, salt }: PinHash): Promise<Buffer> {
  const options = { N: 2 ** costLog2, r: blockSize, p: parallel, maxmem: memoryMost };
  return new Promise((resolve, reject) => {
    scrypt(pin, salt, hashBytes, options, (error, hash) => (error ? reject(error) : resolve(hash)));
  });
}

/** Hashes at once: others wait, so that signing leaves room for everything else. */
const atOnce = 2;
const atWorkMost = 18;
/** One phone signs for one person at a time; more at once of one key is a flood. */
const ofOneKeyMost = 4;

const waiting: (() => void)[] = [];
let running = 0;
let atWork = 0;
const ofKey = new Map<string, number>();

async function inTurn<T>(fn: () => Promise<T>): Promise<T> {
  if (running >= atOnce) await new Promise<void>((resolve) => waiting.push(resolve));
  else running += 1;
  try {
    return await fn();
  } finally {
    const next = waiting.shift();
    if (next) next();
    else running -= 1;
  }
}

/**
 * Lets a request in that is going to need a hash, or refuses it at once: few at a time of one key,
 * and not more than are answered within seconds.
 *
 * @throws Problem rate_limited, overloaded
 */
export async function withHashing<T>(keyId: string, fn: () => Promise<T>): Promise<T> {
  const mine = ofKey.get(keyId) ?? 0;
  if (mine >= ofOneKeyMost) {
    throw new Problem('rate_limited', 'Too many signatures at once came with this key.', {
      retryAfterS: 1,
    });
  }
  if (atWork >= atWorkMost) {
    throw new Problem('overloaded', 'Too many sign just now.', { retryAfterS: 2 });
  }
  ofKey.set(keyId, mine + 1);
  atWork += 1;
  try {
    return await fn();
  } finally {
    atWork -= 1;
    const left = (ofKey.get(keyId) ?? 1) - 1;
    if (left === 0) ofKey.delete(keyId);
    else ofKey.set(keyId, left);
  }
}

/** The text to be stored of a PIN. `costLog2`: less than the default in tests only. */
export async function hashPin(pin: string, costLog2: number = cost.costLog2): Promise<string> {
  const fresh = { ...cost, costLog2, salt: randomBytes(saltBytes), hash: Buffer.alloc(0) };
  const hash = await inTurn(() => derive(pin, fresh));
  return printPinHash({ ...fresh, hash });
}

/**
 * Whether a PIN is the one that was hashed. Without a hash it takes as long and is never right, so
 * that the time tells nobody who exists.
 */
export async function isPin(
  pin: string,
  stored: string | null,
  costLog2: number = cost.costLog2,
): Promise<boolean> {
  const nobody = {
    ...cost,
    costLog2,
    salt: Buffer.alloc(saltBytes),
    hash: Buffer.alloc(hashBytes),
  };
  const wanted = stored === null ? nobody : parsePinHash(stored);
  const got = await inTurn(() => derive(pin, wanted));
  return timingSafeEqual(got, wanted.hash) && stored !== null;
}
