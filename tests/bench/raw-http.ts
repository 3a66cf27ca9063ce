import net from 'node:net';

/** A keep-alive connection that posts prepared bytes; as light as a load generator can be. */
export class PostingSocket {
  readonly #socket: net.Socket;
  #buffer: Buffer = Buffer.alloc(0);
  #settle: ((body: string) => void) | null = null;
  #fail: ((error: Error) => void) | null = null;

  private constructor(socket: net.Socket) {
    this.#socket = socket;
    socket.setNoDelay(true);
    socket.on('data', (chunk) => this.#take(chunk));
    socket.on('error', (error) => this.#fail?.(error));
    socket.on('close', () => this.#fail?.(new Error('the connection was closed')));
  }

  /** The server closes what stands idle; nothing that is written then is ever answered. */
  get open(): boolean {
    return this.#socket.readyState === 'open';
  }

  static open(port: number): Promise<PostingSocket> {
    return new Promise((resolve, reject) => {
      const socket = net.connect(port, '127.0.0.1', () => resolve(new PostingSocket(socket)));
      socket.once('error', reject);
    });
  }

  #take(chunk: Buffer): void {
    this.#buffer = this.#buffer.length === 0 ? chunk : Buffer.concat([this.#buffer, chunk]);
    const end = this.#buffer.indexOf('\r\n\r\n');
    if (end < 0) return;
    const head = this.#buffer.toString('latin1', 0, end);
    const length = Number(/content-length: (\d+)/i.exec(head)?.[1] ?? 0);
    if (this.#buffer.length < end + 4 + length) return;
    const body = this.#buffer.toString('utf8', end + 4, end + 4 + length);
    this.#buffer = this.#buffer.subarray(end + 4 + length);
    const settle = this.#settle;
    const fail = this.#fail;
    this.#settle = null;
    this.#fail = null;
    if (head.startsWith('HTTP/1.1 200')) settle?.(body);
    else fail?.(new Error(`${head.split('\r\n')[0]}: ${body.slice(0, 300)}`));
  }

  /** Sends one prepared request and waits for its answer's body. */
  post(request: Buffer): Promise<string> {
    return new Promise((resolve, reject) => {
      this.#settle = resolve;
      this.#fail = reject;
      this.#socket.write(request);
    });
  }

  close(): void {
    this.#fail = null;
    this.#socket.destroy();
  }
}

export function readingsRequest(key: string, body: unknown): Buffer {
  const text = JSON.stringify(body);
  const head =
    `POST /v1/readings HTTP/1.1\r\nHost: 127.0.0.1\r\nAuthorization: Bearer ${key}\r\n` +
    `Content-Type: application/json\r\nContent-Length: ${Buffer.byteLength(text)}\r\n\r\n`;
  return Buffer.from(head + text);
}
