/** What the frames of one post say about the parameters that are counted from. Pure. */
import { type Frame, frameData } from './candump.ts';
import { parseFrameId } from './j1939-frame.ts';
import {
  frameBytes,
  type Parameter,
  type ParameterState,
  parameterState,
  parametersOfGroup,
  rawValue,
} from './j1939-parameter.ts';

/** Parameters that counters can count from; the groups of all others are passed over. */
const countedFrom = new Set([246, 247, 248, 3948]);

export interface SaidSample {
  readonly atMs: number;
  readonly raw: number;
  readonly state: ParameterState;
}

/** One parameter as one control unit of the vehicle sent it. */
export interface Heard {
  readonly spn: number;
  readonly source: number;
  /** In order of time, at most one a millisecond: the last one said in it. */
  readonly samples: readonly SaidSample[];
}

export interface HeardFrames {
  readonly heard: readonly Heard[];
  /** Frames of groups that nothing is counted from, and frames not eight bytes long. */
  readonly otherGroup: number;
  readonly wrongLength: number;
}

interface Sender {
  source: number;
  /** With the samples of each, in the order they were written. */
  parameters: { parameter: Parameter; samples: SaidSample[] }[];
}

function senderOf(id: number): Sender | null {
  const parts = parseFrameId(id);
  if (parts === null) return null;
  const counted = parametersOfGroup(parts.pgn).filter((each) => countedFrom.has(each.spn));
  if (counted.length === 0) return null;
  const parameters = counted.map((parameter) => ({ parameter, samples: [] }));
  return { source: parts.source, parameters };
}

/** In order of time; of several in one millisecond the last one written stands. */
function inOrder(samples: SaidSample[]): SaidSample[] {
  const sorted = samples.toSorted((a, b) => a.atMs - b.atMs);
  return sorted.filter((each, i) => sorted[i + 1]?.atMs !== each.atMs);
}

/** Frames of any group, in any order. Identifiers that differ in priority only are one sender. */
export function hearFrames(frames: readonly Frame[]): HeardFrames {
  const senders = new Map<number, Sender | null>();
  let otherGroup = 0;
  let wrongLength = 0;
  for (const { id, atMs, hex } of frames) {
    const sameSender = id & 0x3ff_ffff;
    let sender = senders.get(sameSender);
    if (sender === undefined) {
      sender = senderOf(id);
      senders.set(sameSender, sender);
    }
    if (sender === null) {
      otherGroup += 1;
    } else if (hex.length !== 2 * frameBytes) {
      wrongLength += 1;
    } else {
      const data = frameData(hex);
      for (const { parameter, samples } of sender.parameters) {
        const raw = rawValue(parameter, data);
        samples.push({ atMs, raw, state: parameterState(raw, parameter.bits) });
      }
    }
  }
  const heard = [...senders.values()].flatMap((sender) =>
    (sender?.parameters ?? []).map(({ parameter, samples }) => ({
      spn: parameter.spn,
      source: sender?.source as number,
      samples: inOrder(samples),
    })),
  );
  return { heard: heard.filter((each) => each.samples.length > 0), otherGroup, wrongLength };
}
