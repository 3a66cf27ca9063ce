import { describe, expect, test } from 'vitest';
import {
  afterEvent,
  type CardEvent,
  type CardState,
  cardEvents,
  cardStates,
  fateOfCommand,
  isClosed,
} from '../../../src/domain/shop/job-card.ts';

/** Every state and every event; `.` cannot happen. Read by whoever wonders what a card can do. */
const table = `
 | begin | leave | set_down | end_work | found_unfit | send_back | sign_off | withdraw
written_up | hands_on | . | . | . | . | . | . | withdrawn
hands_on | hands_on | hands_on | set_down | to_sign | to_sign | . | . | .
set_down | hands_on | . | . | to_sign | to_sign | . | . | withdrawn
to_sign | . | to_sign | . | . | to_sign | set_down | signed_off | .
signed_off | . | . | . | . | . | . | . | .
withdrawn | . | . | . | . | . | . | . | .`;

const cells = (line: string) => line.split('|').map((cell) => cell.trim());
const [head, ...lines] = table.trim().split('\n');
const events = cells(head ?? '').slice(1);
const rows = lines
  .map(cells)
  .flatMap(([state, ...to]) =>
    to.map((next, i): [CardState, CardEvent, CardState | null] => [
      state as CardState,
      events[i] as CardEvent,
      next === '.' ? null : (next as CardState),
    ]),
  );

describe('the life of a job card', () => {
  test.each(rows)('%s, then %s: %s', (state, event, next) => {
    expect(afterEvent(state, event)).toBe(next);
  });

  test('the table has every state and every event', () => {
    expect(rows).toHaveLength(cardStates.length * cardEvents.length);
    expect(new Set(rows.map(([state, event]) => `${state} ${event}`)).size).toBe(rows.length);
    expect([...new Set(rows.map(([state]) => state))].sort()).toEqual([...cardStates].sort());
    expect([...new Set(rows.map(([, event]) => event))].sort()).toEqual([...cardEvents].sort());
  });

  test('nothing leads out of a closed card, and every other state leads to one', () => {
    for (const state of cardStates) {
      const next = cardEvents.map((event) => afterEvent(state, event));
      expect(next.every((to) => to === null)).toBe(isClosed(state));
    }
    const reached = (from: CardState, seen = new Set<CardState>()): Set<CardState> => {
      if (seen.has(from)) return seen;
      seen.add(from);
      for (const event of cardEvents) {
        const to = afterEvent(from, event);
        if (to) reached(to, seen);
      }
      return seen;
    };
    for (const state of cardStates.filter((each) => !isClosed(each))) {
      expect(reached(state).has('signed_off'), state).toBe(true);
    }
  });

  test.each([
    ['written_up', 'not_begun'],
    ['hands_on', 'taken'],
    ['set_down', 'taken'],
    ['to_sign', 'taken'],
    ['signed_off', 'review'],
    ['withdrawn', 'review'],
  ] as const)('a command that comes to a card %s is %s', (state, fate) => {
    expect(fateOfCommand(state)).toBe(fate);
  });
});
