import { PassThrough } from 'node:stream';
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

/** Bytes of a line that has not ended: copied together, for they may come one at a time. */
class Unended {
  #bytes = Buffer.alloc(0);
  length = 0;

  add(chunk: Buffer): void {
    const length = this.length + chunk.length;
    if (length > this.#bytes.length) {
      const room = Buffer.allocUnsafe(Math.max(length, 2 * this.#bytes.length));
      this.#bytes.copy(room, 0, 0, this.length);
      this.#bytes = room;
    }
    chunk.copy(this.#bytes, this.length);
    this.length = length;
  }

  take(): string {
    const text = this.#bytes.toString('utf8', 0, this.length);
    this.length = 0;
    return text;
  }
}

/**
 * The lines of a body as they come in, gzipped or not; blank ones are left out. Holds one line and
 * what the stream has buffered, never the body. When the reader stops, what is left unread is
 * thrown away unread, so that the answer still reaches the client.
 *
 * @throws Problem body_too_large at the first line over a bound, body_unreadable when the gzip is
 * damaged or the body was cut short, the reason of the signal when that comes first; the lines
 * before were given.
 */
export async function* linesOf(
  req: FastifyRequest['raw'],
  gzip: boolean,
  bounds: LineBounds,
  signal: AbortSignal,
): AsyncGenerator<Line> {
  if (Number(req.headers['content-length'] ?? 0) > bounds.sentMost) {
    throw tooLarge(`At most ${bounds.sentMost} bytes.`);
  }
  let sent = 0;
  const source = gzip ? createGunzip() : new PassThrough();
  // It may find a second fault when nobody reads it any more: that must not end the process.
  source.on('error', () => undefined);
  const count = (chunk: Buffer) => {
    sent += chunk.length;
  };
  const broken = (error?: Error) => source.destroy(error ?? new Error('cut short'));
  const late = () => source.destroy(signal.reason);
  req.on('data', count).once('error', broken).once('aborted', broken);
  signal.addEventListener('abort', late, { once: true });
  req.pipe(source);
  let inflated = 0;
  let number = 0;
  const unended = new Unended();
  const take = (chunk: Buffer): Line | null => {
    number += 1;
    if (number > bounds.linesMost) throw tooLarge(`At most ${bounds.linesMost} lines.`);
    if (unended.length + chunk.length > bounds.lineMost) {
      throw tooLarge(`A line has at most ${bounds.lineMost} bytes.`);
    }
    unended.add(chunk);
    const text = unended.take().trim();
    return text === '' ? null : { number, text };
  };
  try {
    for await (const chunk of source) {
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
      if (unended.length + chunk.length - from > bounds.lineMost) {
        throw tooLarge(`A line has at most ${bounds.lineMost} bytes.`);
      }
      unended.add(chunk.subarray(from));
    }
    const last = take(Buffer.alloc(0));
    if (last) yield last;
  } catch (error) {
    if (error instanceof Problem) throw error;
    throw new Problem('body_unreadable', 'The body was cut short, or is not what its headers say.');
  } finally {
    signal.removeEventListener('abort', late);
    req.off('data', count).off('error', broken).off('aborted', broken).unpipe(source);
    source.destroy();
    req.on('error', () => undefined);
    req.resume();
  }
}
