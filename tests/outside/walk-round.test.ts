import { expect, test } from 'vitest';
import {
  itemsFor,
  WALK_ITEMS,
  walkItems,
  walkRoundWaits,
} from '../../src/domain/shop/walk-item.ts';

/**
 * 49 CFR 396.11(a)(1): a driver's report covers at least these eleven. Read in excerpts of
 * reglogic.com (id 1714458).
 */
const eleven = [
  'service_brakes',
  'parking_brake',
  'steering',
  'lighting',
  'tires',
  'horn',
  'wipers',
  'mirrors',
  'coupling_devices',
  'wheels_rims',
  'emergency_equipment',
];

test('49 CFR 396.11(a)(1): the eleven are asked for on every unit, whatever is on it', () => {
  const legal = WALK_ITEMS.filter((item) => walkItems[item].source.startsWith('49 CFR'));
  expect(legal).toEqual(eleven);
  for (const kinds of [[], ['lift'], ['chassis', 'winch', 'dolly_set']] as const) {
    expect(itemsFor(kinds)).toEqual(expect.arrayContaining(eleven));
  }
});

/** Common practice, no source: what a wheel lift adds is asked for where there is one. */
test('common practice: lift, winch and dollies add their own', () => {
  const added = (kinds: Parameters<typeof itemsFor>[0]) =>
    itemsFor(kinds).filter((item) => walkItems[item].of !== 'chassis');
  expect(added([])).toEqual([]);
  expect(added(['winch'])).toEqual(['rope_and_hook']);
  expect(added(['dolly_set'])).toEqual(['dollies']);
  expect(added(['lift'])).toEqual(
    expect.arrayContaining(['leaks', 'hoses', 'pins_keepers', 'arms_stowed', 'crossbar_swing']),
  );
});

/**
 * 49 CFR 396.11(a)(2): no report is needed where no defect was seen (also 79 FR 75437, 2014);
 * (a)(3): before the vehicle is used again the company certifies repaired, or repair unnecessary.
 * 49 CFR 396.13: before driving, the driver reviews the last report and signs that the
 * certification is there. Read in excerpts of reglogic.com (id 1714458) and law.lawstack.com.
 */
test.each([
  ['no defect: nothing to certify or to review', [], false, null],
  ['a defect waits for its certification', [false], false, 'certification'],
  ['one of two is not enough', [true, false], false, 'certification'],
  ['all certified: the next driver reviews', [true, true], false, 'review'],
  ['reviewed and signed: done', [true], true, null],
])('49 CFR 396.11 and 396.13: %s', (_, certified, reviewed, waits) => {
  const defects = certified.map((each) => ({ certified: each }));
  expect(walkRoundWaits({ defects, reviewed })).toBe(waits);
});
