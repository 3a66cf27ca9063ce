import type { Client } from '../helpers/client.ts';
import type { Truck } from '../helpers/fleet.ts';

export interface List {
  /** The field that tells its rows apart; with more than one, all of them do. */
  id: readonly string[];
  url?: () => string;
  /** Adds a row. */
  add(): Promise<unknown>;
  /** What parts a cursor of it has. */
  key: 'id' | 'text' | 'other';
}

/** What the lists are filled with: a client, and a unit with a lift that has a task `grease`. */
export interface ListSetting {
  client: () => Client;
  truck: Partial<Truck>;
}

/** The lists of the shop's work, for lists.test.ts to walk. */
export function shopLists({ client, truck }: ListSetting): Record<string, List> {
  const card = () =>
    client().made('/v1/job-cards', {
      unitId: truck.unitId,
      tasks: [{ assetId: truck.liftId, task: 'grease' }],
    });
  return {
    '/v1/job-cards': { id: ['cardId'], key: 'id', add: card },
    '/v1/units/{unitId}/job-cards': {
      id: ['cardId'],
      url: () => `/v1/units/${truck.unitId}/job-cards`,
      key: 'id',
      add: card,
    },
  };
}
