import { LIFT_AXES, type LiftPosition } from '../upkeep/service-point.ts';

type Axis = keyof typeof LIFT_AXES;
const axes = Object.keys(LIFT_AXES) as Axis[];

/** A move between two steps: one named person at the controls, everybody else clear. */
export interface LiftMove {
  /** What is known of how it stands; an axis left out is not known. */
  from: LiftPosition;
  to: LiftPosition;
  /** Blocks are taken out before anything moves. */
  blocksOut: boolean;
  /** Set on blocks at the end, before hands go in. */
  blocksIn: boolean;
}

/** Whether the lift, standing so, can be worked on as the step wants. */
function serves(now: LiftPosition, wanted: LiftPosition): boolean {
  const blocked = wanted.blocked !== true || now.blocked === true;
  return blocked && axes.every((axis) => wanted[axis] === undefined || now[axis] === wanted[axis]);
}

/** The move that a step needs before it; null when the lift stands right. */
export function moveTo(now: LiftPosition, wanted: LiftPosition): LiftMove | null {
  if (serves(now, wanted)) return null;
  const moves = axes.some((axis) => wanted[axis] !== undefined && now[axis] !== wanted[axis]);
  const to: Record<string, string | boolean> = {};
  for (const axis of axes) {
    const value = wanted[axis] ?? now[axis];
    if (value !== undefined) to[axis] = value;
  }
  const wasBlocked = now.blocked === true;
  if (wanted.blocked === true || (wasBlocked && !moves)) to.blocked = true;
  return {
    from: now,
    to: to as LiftPosition,
    blocksOut: wasBlocked && moves,
    blocksIn: wanted.blocked === true,
  };
}

const axisWords: Record<Axis, string> = {
  fold: '',
  reach: 'reach ',
  height: '',
  arms: 'arms ',
  crossbar: 'crossbar ',
};

/** A position in words: 'unfolded, reach half, on blocks'. */
export function positionText(position: LiftPosition): string {
  const words = axes.flatMap((axis) => {
    const value = position[axis];
    return value === undefined ? [] : [`${axisWords[axis]}${value.replaceAll('_', ' ')}`];
  });
  if (position.blocked === true) words.push('on blocks');
  return words.length === 0 ? 'as it stands' : words.join(', ');
}
