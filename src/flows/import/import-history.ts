import { v7 as uuid } from 'uuid';
import { builtInMeter, formatGrains, type Meter, parseGrains } from '../../domain/usage/meter.ts';
import { donesOfAssets } from '../../store/import-names.ts';
import {
  insertMeterStart,
  type MeterStartRow,
  replaceMeterStart,
  startsOfAssets,
} from '../../store/meter-start.ts';
import { insertDone, type TaskDoneRow } from '../../store/upkeep.ts';
import { startChanged } from '../hand-reading.ts';
import { patternOf } from '../parsed-pattern.ts';
import { faulty, type KnownAsset } from './import-directory.ts';
import { isPossible } from './import-places.ts';
import type { ImportRow } from './import-row.ts';
import { type Became, type Importing, Twice } from './importing.ts';

/** Starting values by asset and meter: those here already and those of this import. */
export type Starts = Map<string, { grains: number; atMs: number } | typeof faulty>;
const startKey = (assetId: string, meter: string) => `${assetId} ${meter}`;

function soundStart(starts: Starts, key: string): { grains: number; atMs: number } | undefined {
  const start = starts.get(key);
  return start === faulty ? undefined : start;
}

const knownIds = ({ directory }: Importing): string[] =>
  [...directory.assets.values()].flatMap((each) =>
    typeof each === 'object' ? [each.assetId] : [],
  );

/** Grains of a cell; a cycle cannot be half done, nor an hour be finer than a second. */
function grainsOf(row: ImportRow, column: string, meter: Meter): number | null {
  const value = row.number(column);
  if (typeof value !== 'number') return null;
  if (meter.dimension === 'cycles' && !Number.isInteger(value)) {
    row.fault(column, 'number_invalid', 'cycles are whole numbers');
    return null;
  }
  return parseGrains(value, meter.dimension);
}

function meterOf(row: ImportRow, asset: KnownAsset): Meter | undefined {
  const meter = builtInMeter(row.choice('meter') ?? '');
  if (meter && meter.assetKind !== asset.kind) {
    row.fault('meter', 'meter_not_counted', `that is a meter of a ${meter.assetKind}`);
    return undefined;
  }
  return meter;
}

function noteUnits({ directory, reassess }: Importing, assetId: string): void {
  for (const { unitId } of directory.installs.get(assetId) ?? []) reassess.add(unitId);
}

export async function openStarts(importing: Importing): Promise<Starts> {
  const { work } = importing;
  const rows = await startsOfAssets(work.tx, work.fleetId, knownIds(importing));
  return new Map(rows.map((row) => [startKey(row.assetId, row.meter), row]));
}

export function startImporter(importing: Importing, starts: Starts) {
  const { work, by, directory } = importing;
  const twice = new Twice();
  return async (row: ImportRow): Promise<Became | null> => {
    const asset = directory.asset(row);
    const meter = asset && meterOf(row, asset);
    const grains = meter ? grainsOf(row, 'value', meter) : null;
    const atMs = asset ? directory.momentOfAsset(row, 'at', asset.assetId) : null;
    if (typeof atMs === 'number') isPossible(row, 'at', atMs, work.nowMs);
    if (!asset || !meter) return null;
    const key = startKey(asset.assetId, meter.name);
    const there = soundStart(starts, key);
    if (row.faulty || grains === null || typeof atMs !== 'number') {
      if (!there) starts.set(key, faulty);
      return null;
    }
    if (twice.met(row, key, 'meter')) return null;
    const wrong = row.text('instead of') === null ? null : grainsOf(row, 'instead of', meter);
    if (row.faulty) return null;
    if (there && there.grains === grains && there.atMs === atMs) return 'unchanged';
    const is = there ? formatGrains(there.grains, meter.dimension) : null;
    if (there && wrong !== there.grains) {
      const when = there.atMs === atMs ? '' : ', at another time';
      const column = there.grains === grains ? 'at' : 'value';
      row.fault(column, 'differs', `it is here already, with ${is}${when}; see "instead of"`);
      return null;
    }
    const made: MeterStartRow = {
      fleetId: work.fleetId,
      assetId: asset.assetId,
      meter: meter.name,
      atMs,
      grains,
      recordedBy: `key/${by.keyId}`,
      recordedAtMs: work.nowMs,
    };
    await (there ? replaceMeterStart(work.tx, made) : insertMeterStart(work.tx, made));
    starts.set(key, made);
    const { assetId } = made;
    const wasAtMs = there?.atMs ?? null;
    await startChanged(work, { assetId, meter: meter.name, atMs, wasAtMs });
    const value = formatGrains(grains, meter.dimension);
    if (there) row.change('value', String(is), String(value));
    work.record({
      type: there ? 'meter.start_corrected' : 'meter.start_given',
      subject: `asset/${asset.assetId}`,
      data: { meter: meter.name, value, ...(there ? { was: is, wasAt: there.atMs } : {}) },
      personal: { by: by.name },
      occurredAtMs: atMs,
    });
    noteUnits(importing, asset.assetId);
    return there ? 'update' : 'create';
  };
}

/** What the rows about one task of one asset say together. */
interface Said {
  row: ImportRow;
  asset: KnownAsset;
  task: string;
  doneAtMs: number;
  estimated: boolean;
  values: Record<string, number>;
}

/** The rule of the task in the asset's pattern, with a fault when there is none. */
async function ruleOf({ work }: Importing, row: ImportRow, asset: KnownAsset) {
  const key = row.text('task');
  if (key === null) return undefined;
  const pattern = await patternOf(work.tx, work.fleetId, asset);
  const rule = pattern?.tasks.find((each) => each.key === key);
  if (!rule) {
    const tasks = pattern?.tasks.map((each) => each.key).join(', ');
    const reason = pattern ? `its pattern has: ${tasks?.slice(0, 200)}` : 'it has no pattern';
    row.fault('task', 'reference_unknown', reason);
  }
  return rule;
}

/** The meter value of a row, held against the starting value; null when it says none. */
function valueThen(
  row: ImportRow,
  asset: KnownAsset,
  meters: readonly { meter: string }[],
  doneAtMs: number,
  starts: Starts,
): { meter: string; grains: number } | null {
  const only = meters.length === 1 ? meters[0]?.meter : undefined;
  const named = row.choice('meter') ?? (row.text('meter value') === null ? null : only);
  if (row.text('meter value') === null) {
    if (named) row.fault('meter value', 'value_missing', 'a meter without its value');
    return null;
  }
  if (!named) {
    const reason = 'the task does not count just one meter: name it';
    row.fault('meter', 'value_missing', reason);
    return null;
  }
  const meter = builtInMeter(named);
  if (!meter || !meters.some((each) => each.meter === named)) {
    const counted = meters.map((each) => each.meter).join(', ') || 'none';
    row.fault('meter', 'meter_not_counted', `the task counts: ${counted}`);
    return null;
  }
  const grains = grainsOf(row, 'meter value', meter);
  if (grains === null) return null;
  const start = starts.get(startKey(asset.assetId, named));
  // Its own row says what is wrong with a faulty one.
  if (start === faulty) row.faulty = true;
  else if (!start) {
    const reason =
      'say in startingValues what this meter stood at later, or nothing follows from it';
    row.fault('meter value', 'start_missing', reason);
  } else if (doneAtMs < start.atMs && grains > start.grains) {
    const is = formatGrains(start.grains, meter.dimension);
    row.fault('meter value', 'value_above_start', `later it stood at ${is}`);
  }
  return { meter: named, grains };
}

/** Reads one row, alone or as a further meter of an earlier one. */
async function readDone(
  importing: Importing,
  row: ImportRow,
  starts: Starts,
  said: Map<string, Said>,
): Promise<Said | null> {
  const { work, directory } = importing;
  const asset = directory.asset(row);
  const rule = asset && (await ruleOf(importing, row, asset));
  const doneAtMs = asset ? directory.momentOfAsset(row, 'done on', asset.assetId) : null;
  const estimated = row.yesNo('estimated') ?? false;
  if (typeof doneAtMs === 'number') isPossible(row, 'done on', doneAtMs, work.nowMs);
  if (!asset || !rule || typeof doneAtMs !== 'number') return null;
  const value = valueThen(row, asset, rule.meters, doneAtMs, starts);
  if (row.faulty) return null;
  const key = `${asset.assetId} ${rule.key}`;
  const earlier = said.get(key);
  const values = value ? { [value.meter]: value.grains } : {};
  if (earlier) {
    const further = value && !(value.meter in earlier.values);
    const same = earlier.doneAtMs === doneAtMs && earlier.estimated === estimated;
    if (!further || !same) {
      const first = earlier.row.where.row;
      const reason = `row ${first} has the same task; a further row may only add a meter`;
      row.fault('task', 'row_twice', reason);
      return null;
    }
    Object.assign(earlier.values, values);
    return earlier;
  }
  const one = { row, asset, task: rule.key, doneAtMs, estimated, values };
  said.set(key, one);
  return one;
}

const sameValues = (a: Record<string, number>, b: Record<string, number>): boolean =>
  Object.keys(a).length === Object.keys(b).length &&
  Object.entries(a).every(([meter, grains]) => b[meter] === grains);

async function writeDone(
  importing: Importing,
  { row, asset, task, doneAtMs, estimated, values }: Said,
  there: readonly TaskDoneRow[],
): Promise<Became | null> {
  const { work, by } = importing;
  const then = there.filter((each) => each.taskKey === task && each.doneAtMs === doneAtMs);
  // What was voided stays so, also when the sheet it came from is sent again.
  const same = then.some(
    (each) => each.estimated === estimated && sameValues(each.meterValues ?? {}, values),
  );
  if (same) return 'unchanged';
  if (then.some((each) => each.voidedAtMs === null)) {
    const reason = 'it is recorded at that time already, otherwise; void that record first';
    row.fault('done on', 'differs', reason);
    return null;
  }
  const made: TaskDoneRow = {
    fleetId: work.fleetId,
    doneId: uuid(),
    assetId: asset.assetId,
    taskKey: task,
    doneAtMs,
    estimated,
    note: row.text('note'),
    recordedBy: `key/${by.keyId}`,
    recordedAtMs: work.nowMs,
    voidReason: null,
    voidedBy: null,
    voidedAtMs: null,
    cardId: null,
    meterValues: Object.keys(values).length === 0 ? null : values,
  };
  await insertDone(work.tx, made);
  work.record({
    type: 'task.done',
    subject: `asset/${asset.assetId}`,
    data: { doneId: made.doneId, assetId: asset.assetId, task, estimated },
    personal: { by: by.name, note: made.note },
    occurredAtMs: doneAtMs,
  });
  noteUnits(importing, asset.assetId);
  return 'create';
}

/** The last-done values: read as a whole first, because rows may belong together. */
export async function importDones(
  importing: Importing,
  rows: readonly ImportRow[],
  starts: Starts,
): Promise<Map<ImportRow, Became | null>> {
  const said = new Map<string, Said>();
  const ofRow = new Map<ImportRow, Said | null>();
  for (const row of rows) ofRow.set(row, await readDone(importing, row, starts, said));
  const { work } = importing;
  const there = new Map<string, TaskDoneRow[]>();
  for (const done of await donesOfAssets(work.tx, work.fleetId, knownIds(importing))) {
    there.set(done.assetId, [...(there.get(done.assetId) ?? []), done]);
  }
  const became = new Map<Said, Became | null>();
  for (const one of said.values()) {
    became.set(one, await writeDone(importing, one, there.get(one.asset.assetId) ?? []));
  }
  return new Map([...ofRow].map(([row, one]) => [row, one ? (became.get(one) ?? null) : null]));
}
