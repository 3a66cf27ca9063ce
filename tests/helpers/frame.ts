import type { Client, Json } from './client.ts';

/** Frames as a bus logger writes them. */

const hex = (value: number, bytes: number): string =>
  Array.from({ length: bytes }, (_, i) =>
    (Math.floor(value / 2 ** (8 * i)) & 0xff).toString(16).toUpperCase().padStart(2, '0'),
  ).join('');

export const notAvailable = 0xffff_ffff;

export interface WrittenFrame {
  atMs: number;
  id: string;
  data: string;
}

const withSource = (group: string, source: number) =>
  `${group}${source.toString(16).toUpperCase().padStart(2, '0')}`;

/** Vehicle hours: SPN 246 and 248 in ticks of 0.05 h. */
export function vehicleHours(
  atMs: number,
  ptoTicks: number,
  source = 0,
  vehicleTicks = notAvailable,
): WrittenFrame {
  const data = hex(vehicleTicks, 4) + hex(ptoTicks, 4);
  return { atMs, id: withSource('18FEE7', source), data };
}

/** SPN 3948: 0 none, 1 engaged, 2 error, 3 not available. */
export function ptoEngaged(atMs: number, state: number, source = 0x21): WrittenFrame {
  return { atMs, id: withSource('18FDA4', source), data: `FFFFFFFFFFFF${hex(0xfc | state, 1)}FF` };
}

export function candump(frames: readonly WrittenFrame[]): string {
  return frames
    .map(({ atMs, id, data }) => {
      const micros = String((atMs % 1000) * 1000).padStart(6, '0');
      return `(${Math.floor(atMs / 1000)}.${micros}) can0 ${id}#${data}\n`;
    })
    .join('');
}

/** Posts text of candump and answers what became of it. */
export async function postText(
  client: Client,
  text: string,
  headers: Record<string, string> = {},
): Promise<Json> {
  const all = { 'content-type': 'text/plain', ...headers };
  const answer = await client.call({ method: 'POST', url: '/v1/frames', body: text, headers: all });
  if (answer.status !== 200) throw new Error(`frames answered ${answer.status} ${answer.code}`);
  return answer.body;
}

export const postFrames = (
  client: Client,
  frames: readonly WrittenFrame[],
  headers: Record<string, string> = {},
): Promise<Json> => postText(client, candump(frames), headers);
