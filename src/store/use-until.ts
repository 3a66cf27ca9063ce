import type { Tx } from './tx.ts';

export interface UseUntil {
  meter: string;
  atMs: number;
  grains: number;
}

export async function saveUseUntil(
  tx: Tx,
  fleetId: number,
  assetId: string,
  day: string,
  use: UseUntil,
): Promise<void> {
  await tx.query(
    `insert into liftwright.use_until (fleet_id, asset_id, meter, at_ms, day, grains)
     values ($1, $2, $3, $4, $5, $6) on conflict do nothing`,
    [fleetId, assetId, use.meter, use.atMs, day, use.grains],
  );
}

/** Has what was looked up of a day looked up again. */
export async function dropUseUntil(
  tx: Tx,
  fleetId: number,
  { assetId, meter, day }: { assetId: string; meter: string; day: string },
): Promise<void> {
  await tx.query(
    `delete from liftwright.use_until
     where fleet_id = $1 and asset_id = $2 and meter = $3 and day = $4`,
    [fleetId, assetId, meter, day],
  );
}
