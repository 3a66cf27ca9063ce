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

describe('the fold', () => {
  it('gives the same whatever the order, grouping and repetition of deliveries', () => {
    deliveryChangesNothing(150);
  });
  it('gives the same for readings of any kind that keep their time of arrival', () => {
    deliveryOfWildReadingsChangesNothing(150);
  });
  it('goes on from any state that was written down', () => {
    foldGoesOnFromAnyState(300);
  });
  it('never counts backwards nor faster than the clock', () => {
    useStaysWithinTheClock(500);
  });
  it('counts a sound counter exactly', () => {
    soundCountersAreExact(200);
  });
  it('keeps every verdict and all use in its segments', () => {
    segmentsKeepEverything(200);
  });
  it('allows a rise exactly when every pair of accepted readings does', () => {
    allowanceIsThatOfEveryPair(500);
  });
});
