import { describe, expect, test } from 'vitest';
import { contactNow } from '../../../src/domain/usage/gateway-contact.ts';
import {
  type GatewayReason,
  gatewayReasonText,
  momentText,
  stretchText,
} from '../../../src/domain/usage/gateway-reason.ts';

const hourMs = 3_600_000;
const dayMs = 24 * hourMs;
/** 14:02 in Chicago. */
const atMs = Date.UTC(2026, 2, 2, 20, 2);
const zone = 'America/Chicago';
const unheard = { createdAtMs: atMs, lastPostAtMs: null, habitMs: 0, onUnitSinceMs: null };

describe('whether a gateway is heard', () => {
  test.each([
    ['just heard', { lastPostAtMs: atMs }, 0, 'heard'],
    ['a day is no silence', { lastPostAtMs: atMs }, 26 * hourMs - 1, 'heard'],
    ['more than a day is', { lastPostAtMs: atMs }, 26 * hourMs, 'silent'],
    ['its habit allows more', { lastPostAtMs: atMs, habitMs: 40 * hourMs }, 59 * hourMs, 'heard'],
    ['but not for ever', { lastPostAtMs: atMs, habitMs: 40 * hourMs }, 60 * hourMs, 'silent'],
    ['two weeks are silence', { lastPostAtMs: atMs, habitMs: 90 * dayMs }, 14 * dayMs, 'silent'],
    ['nothing is expected in a drawer', {}, 900 * dayMs, 'never'],
    ['on a unit it is', { onUnitSinceMs: atMs }, 26 * hourMs, 'silent'],
    ['but not at once', { onUnitSinceMs: atMs }, 26 * hourMs - 1, 'never'],
    ['nor before it was known', { onUnitSinceMs: atMs - 90 * dayMs }, hourMs, 'never'],
  ])('%s', (_, contact, laterMs, state) => {
    expect(contactNow({ ...unheard, ...contact }, atMs + laterMs).state).toBe(state);
  });

  test('silence counts from the last post', () => {
    const now = contactNow({ ...unheard, lastPostAtMs: atMs }, atMs + 30 * hourMs);
    expect(now).toEqual({ state: 'silent', sinceMs: atMs, silentFromMs: atMs + 26 * hourMs });
  });
});

test.each([
  [0, '1 min'],
  [61_000, '2 min'],
  [90 * 60_000, '90 min'],
  [91 * 60_000, '2 h'],
  [3 * hourMs, '3 h'],
  [48 * hourMs, '48 h'],
  [48 * hourMs + 1, '3 days'],
])('%i ms are %s', (ms, text) => {
  expect(stretchText(ms)).toBe(text);
});

test('a moment of today needs no date', () => {
  expect(momentText(atMs, atMs + hourMs, zone)).toBe('14:02');
  expect(momentText(atMs, atMs + 12 * hourMs, zone)).toBe('2026-03-02 14:02');
});

const silent = contactNow({ ...unheard, lastPostAtMs: atMs }, atMs + 30 * hourMs);
const unposted = contactNow({ ...unheard, onUnitSinceMs: atMs }, atMs + 30 * hourMs);
const sentences: [GatewayReason, string][] = [
  [
    { code: 'silent', contact: silent, lastPostAtMs: atMs, habitMs: 3 * hourMs },
    'Nothing since 2026-03-02 14:02; it usually posts at least every 3 h.',
  ],
  [
    { code: 'silent', contact: silent, lastPostAtMs: atMs, habitMs: 0 },
    'Nothing since 2026-03-02 14:02.',
  ],
  [
    { code: 'silent', contact: unposted, lastPostAtMs: null, habitMs: 0 },
    'It has not posted once since it was put on at 2026-03-02 14:02.',
  ],
  [{ code: 'clock_fast', offsetMs: 6 * hourMs }, 'Its clock is 6 h fast.'],
  [
    { code: 'clock_behind', offsetMs: -10 * 60_000 },
    'Its clock was 10 min behind when it last said so.',
  ],
  [
    { code: 'numbers_missing', counter: 'lifts', numbers: 1, from: 7, to: 7 },
    'lifts: 1 reading is missing, number 7; it should send or give them up.',
  ],
  [
    { code: 'numbers_missing', counter: 'lifts', numbers: 5, from: 7, to: 20 },
    'lifts: 5 readings are missing, from number 7 to 20; it should send or give them up.',
  ],
  [
    { code: 'conflict', counter: 'lifts', count: 2 },
    'lifts: 2 readings were sent with two values; a person decides.',
  ],
  [
    { code: 'set_aside', counter: 'lifts', count: 1 },
    'lifts: 1 reading does not fit what stood before; a person decides.',
  ],
  [
    { code: 'refused', counter: 'lifts', count: 1, atMs },
    'lifts: 1 reading was refused for good, the last at 2026-03-02 14:02.',
  ],
  [{ code: 'backlog', sinceMs: atMs }, 'What came since 2026-03-02 14:02 is not counted yet.'],
];
test.each(sentences)('$code is said as a sentence', (reason, text) => {
  expect(gatewayReasonText(reason, atMs + 30 * hourMs, zone)).toBe(text);
});
