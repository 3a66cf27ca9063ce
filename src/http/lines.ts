import { createGunzip } from 'node:zlib';
import type { FastifyRequest } from 'fastify';
import { Problem } from '../errors.ts';

export interface LineBounds {
  /** Bytes as sent. */
  sentMost: number;
  /** Bytes after gzip was undone. */
  inflatedMost: number;
  lineMost: number;
  linesMost: number;
}

export interface Line {
  /** From 1, as an editor counts them. */
  number: number;
  text: string;
}

const newline = 10;
const tooLarge = (what: string) => new Problem('body_too_large', what);

/**
 * The lines of a body as they come in, gzipped or not; blank ones are left out. Holds one line and
 * what the stream has buffered, never the body. When the reader stops, what is left unread is
 * thrown away unread, so that the answer still reaches the client.
 *
 * @throws Problem body_too_large at the first line over a bound, body_unreadable when the gzip is
 * damaged or the body was cut short; the lines before were given.
 */
export async function* linesOf(
  req: FastifyRequest['raw'],
  gzip: boolean,
  bounds: LineBounds,
): AsyncGenerator<Line> {
  if (Number(req.headers['content-length'] ?? 0) > bounds.sentMost) {
    throw tooLarge(`At most ${bounds.sentMost} bytes.`);
  }
  let sent = 0;
  const unpacked = gzip ? createGunzip() : null;
  // It may find a second fault when nobody reads it any more: that must not end the process.
  unpacked?.on('error', () => undefined);
  const count = (chunk: Buffer) => {
    sent += chunk.length;
  };
  req.on('data', count);
  const broken = (error?: Error) => unpacked?.destroy(error ?? new Error('cut short'));
  if (unpacked) {
    req.once('error', broken).once('aborted', broken);
    req.pipe(unpacked);
  }
  const source = unpacked ?? req;
  let inflated = 0;
  let number = 0;
  let rest: Buffer[] = [];
  let held = 0;
  const take = (chunk: Buffer): Line | null => {
    number += 1;
    if (number > bounds.linesMost) throw tooLarge(`At most ${bounds.linesMost} lines.`);
    if (held + chunk.length > bounds.lineMost) {
      throw tooLarge(`A line has at most ${bounds.lineMost} bytes.`);
    }
    const text = Buffer.concat([...rest, chunk])
      .toString()
      .trim();
    rest = [];
    held = 0;
    return text === '' ? null : { number, text };
  };
  try {
    for await (const chunk of source.iterator({ destroyOnReturn: false })) {
      inflated += chunk.length;
      if (sent > bounds.sentMost) throw tooLarge(`At most ${bounds.sentMost} bytes.`);
      if (inflated > bounds.inflatedMost) {
        throw tooLarge(`At most ${bounds.inflatedMost} bytes when unpacked.`);
      }
      let from = 0;
      for (let end = chunk.indexOf(newline); end >= 0; end = chunk.indexOf(newline, from)) {
        const line = take(chunk.subarray(from, end));
        from = end + 1;
        if (line) yield line;
      }
      if (from === chunk.length) continue;
      rest.push(chunk.subarray(from));
      held += chunk.length - from;
      if (held > bounds.lineMost) throw tooLarge(`A line has at most ${bounds.lineMost} bytes.`);
    }
    const last = take(Buffer.alloc(0));
    if (last) yield last;
  } catch (error) {
    if (error instanceof Problem) throw error;
    throw new Problem('body_unreadable', 'The body was cut short, or is not what its headers say.');
  } finally {
    req.off('data', count).off('error', broken).off('aborted', broken);
    if (unpacked) {
      req.unpipe(unpacked);
      unpacked.destroy();
    }
    req.on('error', () => undefined);
    req.resume();
  }
}
