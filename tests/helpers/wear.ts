import type { FleetBuilder } from './fleet.ts';
import { greaseTask, patternOf, point } from './fleet.ts';

export const padPoint = {
  key: 'left_pad',
  kind: 'wear_surface',
  name: 'Left pad',
  side: 'left',
  place: 'On the left of the boom',
  liftCritical: true,
  serves: ['wheel_lift'],
  cautions: ['The lift rests on blocks'],
};

/** A lift with pads that end at 6 mm, near from 7, and a washer that is taken up. */
export const wearPattern = {
  ...patternOf(greaseTask),
  servicePoints: [
    point,
    padPoint,
    { ...padPoint, key: 'right_pad', name: 'Right pad', side: 'right' },
    { ...padPoint, key: 'label', kind: 'label', name: 'Capacity plate', liftCritical: false },
    {
      ...padPoint,
      ...{ key: 'tension_bolt', kind: 'fastener', name: 'Tension bolt', side: 'centre' },
      limits: [
        { key: 'torque', name: 'Torque', unit: 'nm', least: 80, most: 100 },
        { key: 'gap', name: 'Gap under the head', unit: 'mm', most: 0.1 },
        { key: 'stretch', name: 'Stretch', unit: 'mm', most: 0.5 },
      ],
    },
    { ...padPoint, key: 'winch_rope', kind: 'rope', name: 'Rope', side: 'centre' },
  ],
  wearParts: [
    {
      key: 'pad',
      name: 'Slide pad',
      points: ['left_pad', 'right_pad'],
      meters: ['pto_hours'],
      unit: 'mm',
      nominal: 10,
      near: 7,
      limit: 6,
      gaugeError: 0.05,
    },
    {
      key: 'washer',
      name: 'Thrust washer',
      points: ['crossbar_pivot'],
      meters: ['pto_hours'],
      unit: 'mm',
      grows: true,
      nominal: 0.5,
      limit: 2,
      gaugeError: 0.05,
      takeUp: { points: ['tension_bolt'], mostTurns: 1.5 },
    },
    {
      key: 'plate',
      name: 'Plate',
      points: ['label'],
      meters: ['pto_hours'],
      unit: 'mm',
      nominal: 3,
      limit: 1,
    },
  ],
};

export async function wearPatternId(fleet: FleetBuilder): Promise<string> {
  return (await fleet.client.made('/v1/patterns', { document: wearPattern })).patternId;
}
