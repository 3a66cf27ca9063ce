import {
  type FleetBuilder,
  hourMs,
  type Signing,
  startMs,
  type Truck,
  text,
} from '../helpers/fleet.ts';
import type { List } from './lists-of-the-shop.ts';

/** What the lists are filled with: a fleet, a yard of it, and a unit with a lift. */
interface Setting {
  fleet: () => FleetBuilder;
  yardId: () => string;
  truck: Partial<Truck>;
  next: () => number;
}

/** The lists of what drivers tell and of when units come in, for lists.test.ts to walk. */
export function driversLists(setting: Setting): Record<string, List> {
  const { fleet, yardId, truck, next } = setting;
  const ofUnit = (list: string) => `/v1/units/${truck.unitId}/${list}`;
  const post = (url: string, body: object) => fleet().client.made(url, body);
  const symptom = () => post(ofUnit('symptoms'), { symptom: 'other', loadOnHook: false });
  let driver: Signing | null = null;
  const walkRound = async () => {
    driver ??= await fleet().person(['driving']);
    const defects = next() % 2 ? [] : [{ item: 'horn', affectsSafety: false }];
    const { signature } = driver;
    return post(ofUnit('walk-rounds'), { shift: 'after', defects, signature });
  };
  /** One after another in one bay, so that none is in the way of the next. */
  const visit = async () => {
    const at = startMs + next() * hourMs;
    const during = { from: text(at), to: text(at + hourMs) };
    return post('/v1/visits', { unitId: truck.unitId, yardId: yardId(), bay: '2', ...during });
  };
  return {
    '/v1/symptoms': { id: ['symptomId'], key: 'id', add: symptom },
    '/v1/units/{unitId}/symptoms': {
      id: ['symptomId'],
      url: () => ofUnit('symptoms'),
      key: 'id',
      add: symptom,
    },
    '/v1/units/{unitId}/incidents': {
      id: ['incidentId'],
      url: () => ofUnit('incidents'),
      key: 'id',
      add: () => post(ofUnit('incidents'), { kind: 'drop', loadOnHook: false }),
    },
    '/v1/walk-rounds': { id: ['walkRoundId'], key: 'id', add: walkRound },
    '/v1/units/{unitId}/walk-rounds': {
      id: ['walkRoundId'],
      url: () => ofUnit('walk-rounds'),
      key: 'id',
      add: walkRound,
    },
    '/v1/visits': { id: ['visitId'], key: 'other', add: visit },
    '/v1/assets/{assetId}/task-calls': {
      id: ['callId'],
      url: () => `/v1/assets/${truck.liftId}/task-calls`,
      key: 'id',
      add: () => post(ofUnit('tasks/grease/calls'), { words: `dry ${next()}` }),
    },
  };
}
