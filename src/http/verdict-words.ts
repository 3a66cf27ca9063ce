import type { Refusal } from '../domain/usage/reading-intake.ts';
import type { FoldVerdict, VerdictReason } from '../domain/usage/verdict.ts';

// What the words of readings mean, for the page at /docs/problems.

export const refusalWords: Record<Refusal, string> = {
  malformed: 'It has not the form of the contract; `detail` says where.',
  unknown_counter:
    'Declare the counter first. Nothing of the stream was taken: send it again then.',
  unknown_epoch:
    'Ask for the epoch first, or see which there are. Nothing of the stream was taken.',
  too_many_readings: 'Too many readings in one stream or post. Nothing of it was taken: split it.',
  too_many_gaps:
    'Too many separate runs of numbers are missing. Not for good: send what is `missing` first.',
  time_out_of_range: 'The time is below zero or after the year 9999.',
  value_out_of_width: 'The value is below zero or wider than the counter was declared.',
  too_late: 'It is of a time whose readings were put away.',
};

export const foldWords: Record<FoldVerdict, string> = {
  baseline: 'Starts the count; adds nothing.',
  carried: 'The first of a new stream, judged against the last value known.',
  accepted: 'An ordinary rise; adds its use.',
  jitter: 'A few steps down; the highest value before stands.',
  rollover: 'The counter passed its last value and began again at zero.',
  reset: 'The counter was set to zero; it counts from there.',
  set_aside: 'Does not fit; waits for what follows, or for a person. Adds nothing so far.',
  spike: 'Was set aside, and what followed did not bear it out. Adds nothing.',
  rebase:
    'Was set aside, and what followed goes on from it. The jump adds nothing until a person ' +
    'says it counts.',
  clock_suspect:
    "The device's time cannot be right: its place is between its neighbours, its use counts.",
};

export const reasonWords: Record<VerdictReason, string> = {
  start: 'The first reading of all, or of a controller that was replaced.',
  declared: 'The device said so when it asked for a new epoch.',
  by_value: 'The values alone show it.',
  decided: 'A person said so.',
  too_fast: 'It rises faster than time allows.',
  fall: 'It falls, and nothing shows a reset or a rollover.',
  not_borne_out: 'What followed did not go on from it.',
  borne_out: 'What followed went on from it.',
  behind: 'Its time is earlier than a trusted reading before it.',
  ahead: 'Its time is later than the moment it arrived.',
  too_early: 'Its time is earlier than any that can be its own.',
  fast_clock: "The post proved the device's clock fast; the time was put right by that much.",
};
