import { describe, it } from 'vitest';
import {
  allowanceIsThatOfEveryPair,
  deliveryChangesNothing,
  deliveryOfWildReadingsChangesNothing,
  foldGoesOnFromAnyState,
  segmentsKeepEverything,
  soundCountersAreExact,
  useStaysWithinTheClock,
} from '../domain/usage/fold-properties.ts';

describe('the fold, many seeds', () => {
  it('gives the same whatever the order, grouping and repetition of deliveries', () => {
    deliveryChangesNothing(4_000);
    deliveryChangesNothing(300, 400);
  });
  it('gives the same for readings of any kind that keep their time of arrival', () => {
    deliveryOfWildReadingsChangesNothing(4_000);
  });
  it('goes on from any state that was written down', () => {
    foldGoesOnFromAnyState(20_000);
  });
  it('never counts backwards nor faster than the clock', () => {
    useStaysWithinTheClock(30_000);
  });
  it('counts a sound counter exactly', () => {
    soundCountersAreExact(5_000);
  });
  it('keeps every verdict and all use in its segments', () => {
    segmentsKeepEverything(10_000);
  });
  it('allows a rise exactly when every pair of accepted readings does', () => {
    allowanceIsThatOfEveryPair(20_000);
  });
});
