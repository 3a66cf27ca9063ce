import { contiguous, highest, missing, type NumberRange } from '../domain/usage/number-set.ts';
import { streamsHealth } from '../store/gateway-health.ts';
import type { Tx } from '../store/tx.ts';
import { type CounterDeclaration, shownCounters } from './declare-counters.ts';
import { mustFindGateway } from './must-find.ts';

const epochsShown = 20;
const missingShown = 100;

export interface OwnCounter extends CounterDeclaration {
  epoch: number;
  epochsInAll: number;
  epochs: {
    epoch: number;
    cause: string;
    openedAtMs: number;
    contiguous: number | null;
    highest: number | null;
    missing: NumberRange[];
  }[];
}

export interface OwnStanding {
  gatewayId: string;
  serial: string;
  lastPostAtMs: number | null;
  counters: OwnCounter[];
}

/** Where a gateway stands, as it must know it to go on. @throws Problem not_found */
export async function readOwnStanding(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
): Promise<OwnStanding> {
  const row = await mustFindGateway(tx, fleetId, gatewayId);
  const streams = await streamsHealth(tx, fleetId, gatewayId, epochsShown);
  const counters = (await shownCounters(tx, fleetId, gatewayId)).map(({ epochs, ...declared }) => ({
    ...declared,
    epoch: epochs.at(-1)?.epoch ?? 0,
    epochsInAll: epochs.length,
    epochs: streams
      .filter((stream) => stream.counter === declared.counter)
      .map(({ epoch, cause, openedAtMs, seen }) => ({
        epoch,
        cause,
        openedAtMs,
        contiguous: contiguous(seen),
        highest: highest(seen),
        missing: [...missing(seen, missingShown)],
      })),
  }));
  const { serial, lastPostAtMs } = row;
  return { gatewayId, serial, lastPostAtMs, counters };
}
