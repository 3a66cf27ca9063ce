/** Sends the client's calls over a few kept-alive connections. */
import { Agent, request } from 'node:http';
import type { Answer, Send } from '../../openapi/http-client.ts';

/** Calls in flight at most; the others wait for a connection. */
const socketsMax = 8;
const callTimeoutMs = 60_000;

export interface KeptAlive {
  send: Send;
  close(): void;
}

export function keepAlive(url: string): KeptAlive {
  const base = url.replace(/\/$/, '');
  const agent = new Agent({ keepAlive: true, maxSockets: socketsMax, scheduling: 'fifo' });
  const send: Send = ({ method, path, headers, body }) =>
    new Promise<Answer>((resolve, reject) => {
      const length = body === null ? {} : { 'content-length': String(Buffer.byteLength(body)) };
      const options = { method, agent, timeout: callTimeoutMs, headers: { ...headers, ...length } };
      const sent = request(`${base}${path}`, options, (answer) => {
        const chunks: Buffer[] = [];
        answer.on('data', (chunk: Buffer) => chunks.push(chunk));
        answer.on('error', reject);
        answer.on('end', () =>
          resolve({
            status: answer.statusCode ?? 0,
            text: Buffer.concat(chunks).toString('utf8'),
            retryAfterS: Number(answer.headers['retry-after'] ?? 0) || 0,
            etag: answer.headers.etag ?? null,
          }),
        );
      });
      sent.on('timeout', () => sent.destroy(new Error(`${method} ${path} was not answered`)));
      sent.on('error', reject);
      sent.end(body ?? undefined);
    });
  return { send, close: () => agent.destroy() };
}
