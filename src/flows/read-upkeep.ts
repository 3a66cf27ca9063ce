import type { TaskRule } from '../domain/upkeep/task-rule.ts';
import { assetsOnUnit } from '../store/install.ts';
import type { Tx } from '../store/tx.ts';
import { type UpkeepState, upkeepOfUnit } from '../store/upkeep.ts';
import { mustFindUnit } from './must-find.ts';
import { patternOf } from './parsed-pattern.ts';

/** The assessed tasks of a unit with their rules, in the order of the patterns. @throws Problem */
export async function readUnitTasks(
  tx: Tx,
  fleetId: number,
  unitId: string,
  nowMs: number,
): Promise<{ state: UpkeepState; rule: TaskRule | null }[]> {
  await mustFindUnit(tx, fleetId, unitId, nowMs);
  const rules = new Map<string, { rule: TaskRule; order: number }>();
  for (const asset of await assetsOnUnit(tx, fleetId, unitId, nowMs)) {
    const pattern = await patternOf(tx, fleetId, asset);
    for (const rule of pattern?.tasks ?? []) {
      rules.set(`${asset.assetId} ${rule.key}`, { rule, order: rules.size });
    }
  }
  const keyOf = (state: UpkeepState) => `${state.assetId} ${state.taskKey}`;
  const states = await upkeepOfUnit(tx, fleetId, unitId);
  return states
    .sort((a, b) => (rules.get(keyOf(a))?.order ?? 0) - (rules.get(keyOf(b))?.order ?? 0))
    .map((state) => ({ state, rule: rules.get(keyOf(state))?.rule ?? null }));
}
