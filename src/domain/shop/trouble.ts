/**
 * The life of a symptom that was told, or of an incident: what of it has been done. `told`: the
 * shop knows; `on_card`: a job card looks into it; `unnecessary`: a person looked and nothing needs
 * mending.
 */
export const TROUBLE_STATES = ['told', 'on_card', 'mended', 'unnecessary'] as const;
export type TroubleState = (typeof TROUBLE_STATES)[number];

/**
 * `card_left`: its card was signed off with something undone or not right. `mend`: a person names
 * the signed-off card that mended it.
 */
export const TROUBLE_EVENTS = [
  'tell_again',
  'write_up',
  'card_withdrawn',
  'card_left',
  'card_signed_off',
  'mend',
  'find_unnecessary',
] as const;
export type TroubleEvent = (typeof TROUBLE_EVENTS)[number];

/** Every move there is; what is not here cannot happen. */
export const TROUBLE_MOVES: Readonly<
  Record<TroubleState, Partial<Record<TroubleEvent, TroubleState>>>
> = {
  told: {
    tell_again: 'told',
    write_up: 'on_card',
    mend: 'mended',
    find_unnecessary: 'unnecessary',
  },
  on_card: {
    tell_again: 'on_card',
    card_withdrawn: 'told',
    card_left: 'told',
    card_signed_off: 'mended',
    mend: 'mended',
    find_unnecessary: 'unnecessary',
  },
  mended: {},
  unnecessary: {},
};

/** The state after an event; null when it cannot happen in this one. */
export function nextTroubleState(state: TroubleState, event: TroubleEvent): TroubleState | null {
  return TROUBLE_MOVES[state][event] ?? null;
}

export const isOver = (state: TroubleState): boolean =>
  state === 'mended' || state === 'unnecessary';

/** Told again within this time after it was closed, it came back. Common practice, no source. */
export const CAME_BACK_DAYS = 30;
const dayMs = 86_400_000;

export function cameBack(closedAtMs: number, nowMs: number): boolean {
  return nowMs - closedAtMs <= CAME_BACK_DAYS * dayMs;
}

/** That the shop knows, in words for who tells it. */
export function saidText(reports: number, cameBack: boolean): string {
  if (reports > 1) return `The shop knows of it: reported ×${reports}.`;
  return cameBack ? 'The shop was told that it came back.' : 'The shop was told.';
}

const OUTCOMES: Record<TroubleState, string> = {
  told: 'The shop was told; nobody has looked yet.',
  on_card: 'It is on a job card of the shop.',
  mended: 'It was mended.',
  unnecessary: 'The shop looked, and nothing needed mending.',
};

/** What came of it, in words for who told it; `looked`: a card looked into it before. */
export function outcomeText(state: TroubleState, looked: boolean): string {
  if (state === 'told' && looked) return 'The shop has begun with it; it is not mended yet.';
  return OUTCOMES[state];
}
