/** A stored slow hash: `scrypt$<log2 of N>$<r>$<p>$<salt>$<hash>`, the last two in base64url. */
export interface PinHash {
  costLog2: number;
  blockSize: number;
  parallel: number;
  salt: Buffer;
  hash: Buffer;
}

export const saltBytes = 16;
export const hashBytes = 32;

export function printPinHash({ costLog2, blockSize, parallel, salt, hash }: PinHash): string {
  const binary = [salt, hash].map((bytes) => bytes.toString('base64url'));
  return ['scrypt', costLog2, blockSize, parallel, ...binary].join('$');
}

const shape = /^scrypt\$(\d{1,2})\$(\d{1,2})\$(\d{1,2})\$([\w-]+)\$([\w-]+)$/;

/** Reads a stored hash. Throws on anything else: it was written here. */
export function parsePinHash(text: string): PinHash {
  const match = shape.exec(text);
  if (!match) throw new Error('a stored PIN hash is not in its form');
  const [, costLog2, blockSize, parallel, salt = '', hash = ''] = match;
  return {
    costLog2: Number(costLog2),
    blockSize: Number(blockSize),
    parallel: Number(parallel),
    salt: Buffer.from(salt, 'base64url'),
    hash: Buffer.from(hash, 'base64url'),
  };
}
