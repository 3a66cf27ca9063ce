import { v7 as uuid } from 'uuid';
import type { Client } from '../helpers/client.ts';
import { startMs, type Truck, text } from '../helpers/fleet.ts';

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
  let signature: object | null = null;
  const signer = async () => {
    if (signature !== null) return signature;
    const { personId } = await client().made('/v1/people', { name: 'R. Vale' });
    await client().made(`/v1/people/${personId}/pin`, { newPin: '58203' });
    for (const competence of ['lift_work', 'lead']) {
      const given = { competence, from: text(startMs - 1), evidence: 'seen at work' };
      await client().made(`/v1/people/${personId}/competences`, given);
    }
    signature = { personId, pin: '58203' };
    return signature;
  };
  /** A word on a step of a card that was withdrawn. */
  const late = async () => {
    const { cardId, steps } = await card();
    const url = `/v1/job-cards/${cardId}`;
    const signed = { signature: await signer() };
    await client().made(`${url}/withdraw`, { ...signed, words: 'Not wanted.' });
    const { stepId } = steps[0];
    const command = { clientId: uuid(), stepId, result: 'done', at: text(startMs) };
    await client().made(`${url}/commands`, { ...signed, commands: [command] });
  };
  return {
    '/v1/late-step-commands': { id: ['clientId'], key: 'other', add: late },
    '/v1/job-cards': { id: ['cardId'], key: 'id', add: card },
    '/v1/units/{unitId}/job-cards': {
      id: ['cardId'],
      url: () => `/v1/units/${truck.unitId}/job-cards`,
      key: 'id',
      add: card,
    },
  };
}
