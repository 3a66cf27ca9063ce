/** The life of a job card: the work on one unit. */
export const cardStates = [
  'written_up',
  'hands_on',
  'set_down',
  'to_sign',
  'signed_off',
  'withdrawn',
] as const;
export type CardState = (typeof cardStates)[number];

/**
 * `begin`: a person puts hands on, also beside others. `leave`: one takes his hands off while
 * others stay on, or while the card waits to be signed. `set_down`: the last one does.
 * `end_work`: nothing more is to be done on this card. `found_unfit`: a first look ended it.
 * `send_back`: who signs wants more work on it.
 */
export const cardEvents = [
  'begin',
  'leave',
  'set_down',
  'end_work',
  'found_unfit',
  'send_back',
  'sign_off',
  'withdraw',
] as const;
export type CardEvent = (typeof cardEvents)[number];

export const cardKinds = ['upkeep', 'symptom', 'incident', 'intake', 'yard', 'follow_on'] as const;
/** Why there is a card. `yard`: a short one that the driver works and signs. */
export type CardKind = (typeof cardKinds)[number];

const none = Object.fromEntries(cardEvents.map((event) => [event, null])) as Record<
  CardEvent,
  CardState | null
>;

/** Where each event leads from each state; null: it cannot happen there. */
export const cardTable: Record<CardState, Record<CardEvent, CardState | null>> = {
  written_up: { ...none, begin: 'hands_on', withdraw: 'withdrawn' },
  hands_on: {
    ...none,
    begin: 'hands_on',
    leave: 'hands_on',
    set_down: 'set_down',
    end_work: 'to_sign',
    found_unfit: 'to_sign',
  },
  set_down: {
    ...none,
    begin: 'hands_on',
    end_work: 'to_sign',
    found_unfit: 'to_sign',
    withdraw: 'withdrawn',
  },
  to_sign: {
    ...none,
    leave: 'to_sign',
    found_unfit: 'to_sign',
    send_back: 'set_down',
    sign_off: 'signed_off',
  },
  signed_off: none,
  withdrawn: none,
};

/** The state after an event; null when it cannot happen in this one. */
export function afterEvent(state: CardState, event: CardEvent): CardState | null {
  return cardTable[state][event];
}

/** Whether nothing of the card changes any more, but for corrections beside it. */
export function isClosed(state: CardState): boolean {
  return state === 'signed_off' || state === 'withdrawn';
}

/**
 * What becomes of a step command that comes now. What was done on a card that is closed by now is
 * kept for a person to look at.
 */
export function fateOfCommand(state: CardState): 'not_begun' | 'taken' | 'review' {
  if (state === 'written_up') return 'not_begun';
  return isClosed(state) ? 'review' : 'taken';
}
