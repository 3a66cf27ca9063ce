import { instantText } from '../domain/instant.ts';
import {
  kindsOfSection,
  RECORD_SECTIONS,
  recordKinds,
  shownData,
} from '../domain/shop/record-kind.ts';
import {
  type ControlPeriod,
  controlEnded,
  controlledForAMonth,
  isPreserved,
  keptThrough,
  RETENTION_KINDS,
  retentionRules,
} from '../domain/shop/retention.ts';
import type { CalendarInterval, TaskRule } from '../domain/upkeep/task-rule.ts';
import { addDays, addMonths, localDay } from '../domain/usage/local-day.ts';
import { type AssetKind, dimensionOf, formatGrains } from '../domain/usage/meter.ts';
import {
  allAsKnown,
  countsAsKnown,
  type KnownCount,
  type KnownRow,
  lastDonesAsKnown,
  namedRowsAsKnown,
  type RecordOf,
  rowsAsKnown,
  statusesTold,
} from '../store/record-version.ts';
import type { Tx } from '../store/tx.ts';
import { type AsKnown, showAsKnown } from './as-known.ts';
import { patternOf } from './parsed-pattern.ts';
import { kindsOf, type RecordSubject, recordOf } from './read-record.ts';

const rowsMost = 1_000;
const text = (value: unknown): string | null => (typeof value === 'string' ? value : null);

/** The yard that gives a unit its days, as it was known. */
async function yardAsKnown(
  tx: Tx,
  fleetId: number,
  known: AsKnown,
  of: RecordOf,
): Promise<{ name: string | null; zone: string }> {
  const yards = await rowsAsKnown(tx, fleetId, known.event, of, ['unit_yard'], null, rowsMost);
  const home = yards
    .filter(({ data }) => data.role === 'home')
    .map(({ data }) => shownData(data) as { yardId: string; during: { from: string } })
    .sort((a, b) => (a.during.from < b.during.from ? 1 : -1));
  const last = home.find((each) => Date.parse(each.during.from) <= known.atMs) ?? home[0];
  if (!last) return { name: null, zone: 'UTC' };
  const named = [{ kind: 'yard', rowId: last.yardId }];
  const [yard] = await namedRowsAsKnown(tx, fleetId, known.event, named);
  return { name: text(yard?.data.name), zone: text(yard?.data.time_zone) ?? 'UTC' };
}

const showAsset = ({ data }: KnownRow) => ({
  assetId: String(data.asset_id),
  kind: data.kind as AssetKind,
  serial: String(data.serial),
  make: text(data.make),
  modelYear: typeof data.model_year === 'number' ? data.model_year : null,
  tireSize: text(data.tire_size),
  patternId: text(data.pattern_id),
  patternVersion: typeof data.pattern_version === 'number' ? data.pattern_version : null,
});

const patternOfRow = (tx: Tx, fleetId: number, data: KnownRow['data']) =>
  patternOf(tx, fleetId, {
    patternId: text(data.pattern_id),
    patternVersion: typeof data.pattern_version === 'number' ? data.pattern_version : null,
  });

const nature = (rule: TaskRule): string => {
  const meters = rule.meters.map(({ meter, grains }) => {
    const unit = dimensionOf(meter);
    return `${formatGrains(grains, unit)} ${meter.replaceAll('_', ' ')}`;
  });
  const { calendar } = rule;
  const days = calendar ? Object.entries(calendar).map(([unit, n]) => `${n} ${unit}`) : [];
  return `${rule.name}: every ${[...meters, ...days].join(' or ')}`;
};

const due = (from: string, interval: CalendarInterval): string =>
  'days' in interval ? addDays(from, interval.days) : addMonths(from, interval.months);

/** The nature and due date of the upkeep of assets, 49 CFR 396.3(b)(2), as it was known. */
async function upkeepAsKnown(
  tx: Tx,
  fleetId: number,
  known: AsKnown,
  subject: { of: RecordOf; assets: readonly KnownRow[]; zone: string },
) {
  const { of, assets, zone } = subject;
  const { unitId } = of;
  const told = unitId === null ? [] : await statusesTold(tx, fleetId, known.event, unitId);
  const assetIds = assets.map(({ rowId }) => rowId);
  const dones = await lastDonesAsKnown(tx, fleetId, known.event, assetIds);
  const upkeep = [];
  for (const { data } of assets) {
    const assetId = String(data.asset_id);
    const pattern = await patternOfRow(tx, fleetId, data);
    for (const rule of pattern?.tasks ?? []) {
      const last = dones.find(
        (done) => done.assetId === assetId && done.data.task_key === rule.key,
      );
      const status = told.find((each) => each.assetId === assetId && each.task === rule.key);
      upkeep.push({
        assetId,
        task: rule.key,
        nature: nature(rule),
        statutory: rule.statutory,
        lastDone: last
          ? { at: instantText(last.atMs), estimated: last.data.estimated === true }
          : null,
        dueBy: last && rule.calendar ? due(localDay(last.atMs, zone), rule.calendar) : null,
        dueAfterUse: rule.meters.map(({ meter, grains }) => {
          const unit = dimensionOf(meter);
          return { meter, unit, value: formatGrains(grains, unit) };
        }),
        status: status?.status ?? null,
        statusSince: status ? instantText(status.sinceMs) : null,
      });
    }
  }
  return upkeep;
}

export interface RetentionShown {
  kind: (typeof RETENTION_KINDS)[number];
  rows: number;
  newestDay: string | null;
  keepThrough: string | null;
  mayBeLonger: boolean;
  preserved: boolean;
  source: string;
  words: string;
}

const periodOf = ({ data }: KnownRow): ControlPeriod => ({
  fromDay: String(data.from_day),
  endedDay: text(data.ended_day),
});

/** The kind of retention of counted rows: the yearly inspection is upkeep by its task alone. */
const retentionOf = ({ kind, task }: KnownCount, yearly: ReadonlySet<string>) =>
  kind === 'task_done' && task !== null && yearly.has(task)
    ? 'yearly_inspection'
    : recordKinds[kind]?.retention;

/** The statutory tasks that come once a year, by the patterns that assets followed then. */
async function yearlyTasks(
  tx: Tx,
  fleetId: number,
  event: number,
  of: RecordOf,
): Promise<ReadonlySet<string>> {
  const named = of.assets.map(({ assetId }) => ({ kind: 'asset', rowId: assetId }));
  const tasks: string[] = [];
  for (const { data } of await namedRowsAsKnown(tx, fleetId, event, named)) {
    const pattern = await patternOfRow(tx, fleetId, data);
    for (const { key, statutory, calendar } of pattern?.tasks ?? []) {
      if (statutory && calendar && 'months' in calendar && calendar.months === 12) tasks.push(key);
    }
  }
  return new Set(tasks);
}

/** Until when each kind of record must be kept, as far as was known. */
async function retentionAsKnown(
  tx: Tx,
  fleetId: number,
  known: AsKnown,
  subject: {
    of: RecordOf;
    zone: string;
    periods: readonly ControlPeriod[];
    preserved: boolean;
    counts: readonly KnownCount[];
  },
): Promise<RetentionShown[]> {
  const { counts } = subject;
  const yearly = await yearlyTasks(tx, fleetId, known.event, subject.of);
  const ended = controlEnded(subject.periods);
  return RETENTION_KINDS.flatMap((kind): RetentionShown[] => {
    const own = counts.filter((each) => retentionOf(each, yearly) === kind);
    const rows = own.reduce((sum, each) => sum + each.rows, 0);
    if (rows === 0) return [];
    const lastMs = Math.max(...own.map((each) => each.lastMs));
    const newestDay = lastMs === 0 ? null : localDay(lastMs, subject.zone);
    const kept = newestDay === null ? null : keptThrough(kind, newestDay, ended);
    const { source, words } = retentionRules[kind];
    return [
      {
        ...{ kind, rows, newestDay, source, words, preserved: subject.preserved },
        keepThrough: kept?.through ?? null,
        mayBeLonger: (kept?.mayBeLonger ?? false) || subject.preserved,
      },
    ];
  });
}

/** The orders that stand over a unit, or over all; of an asset only those over all. */
async function ordersAsKnown(
  tx: Tx,
  fleetId: number,
  event: number,
  unitId: string | null,
): Promise<KnownRow[]> {
  const orders = await allAsKnown(tx, fleetId, event, 'preservation_order', rowsMost);
  return orders.filter(({ data }) => !data.lifted_at && (!data.unit_id || data.unit_id === unitId));
}

/** The assets of a record that were there at the moment of the event. */
async function assetsThen(tx: Tx, fleetId: number, known: AsKnown, of: RecordOf) {
  const there = of.assets.filter(
    (each) => each.fromMs <= known.atMs && (each.toMs === null || each.toMs > known.atMs),
  );
  const named = there.map(({ assetId }) => ({ kind: 'asset', rowId: assetId }));
  const rows = await namedRowsAsKnown(tx, fleetId, known.event, named);
  return rows.sort((a, b) => (a.rowId < b.rowId ? -1 : 1));
}

/**
 * The head of a record as it was known at an event: what identifies the unit or asset, the nature
 * and due date of its upkeep, who controlled it when, what must be kept until when, and how many
 * entries each section has. The same event gives the same head for ever.
 *
 * @throws Problem not_found
 */
export async function readRecordHead(
  tx: Tx,
  fleetId: number,
  known: AsKnown,
  subject: RecordSubject,
) {
  const { event } = known;
  const of = await recordOf(tx, fleetId, event, subject);
  const { unitId } = of;
  const named = unitId === null ? [] : [{ kind: 'unit', rowId: unitId }];
  const [unit] = await namedRowsAsKnown(tx, fleetId, event, named);
  const yard = await yardAsKnown(tx, fleetId, known, of);
  const assets = await assetsThen(tx, fleetId, known, of);
  const controlled = await rowsAsKnown(tx, fleetId, event, of, ['control_period'], null, rowsMost);
  const periods = controlled.filter(({ data }) => !data.voided_at).map(periodOf);
  const orders = await ordersAsKnown(tx, fleetId, event, unitId);
  const standing = orders.map(({ data }) => ({ unitId: text(data.unit_id), liftedAtMs: null }));
  const preserved = isPreserved(standing, unitId ?? '');
  const counts = await countsAsKnown(tx, fleetId, event, of, kindsOf(null));
  return {
    asKnown: showAsKnown(known),
    unit: unit
      ? {
          unitId: unit.rowId,
          number: String(unit.data.number),
          furnishedBy: text(unit.data.furnished_by),
          note: text(unit.data.note),
          homeYard: yard.name,
          timeZone: yard.zone,
        }
      : null,
    assets: assets.map(showAsset),
    upkeep: await upkeepAsKnown(tx, fleetId, known, { of, assets, zone: yard.zone }),
    control: periods.map((period) => ({
      ...period,
      forThirtyDays: controlledForAMonth(period, localDay(known.atMs, yard.zone)),
    })),
    preservation: orders.map(({ data, rowId }) => ({
      orderId: rowId,
      unitId: text(data.unit_id),
      reason: String(data.reason),
      reference: text(data.reference),
      placedBy: String(data.placed_by),
    })),
    retention: await retentionAsKnown(tx, fleetId, known, {
      ...{ of, zone: yard.zone, periods, preserved, counts },
    }),
    sections: RECORD_SECTIONS.map((section) => ({
      section,
      entries: counts
        .filter((each) => kindsOfSection(section).includes(each.kind))
        .reduce((sum, each) => sum + each.rows, 0),
    })),
  };
}

/** Until when each kind of record of a unit must be kept, by what is known now. @throws Problem */
export async function readRetention(tx: Tx, fleetId: number, known: AsKnown, unitId: string) {
  const of = await recordOf(tx, fleetId, known.event, { unitId });
  const { event } = known;
  const { zone } = await yardAsKnown(tx, fleetId, known, of);
  const controlled = await rowsAsKnown(tx, fleetId, event, of, ['control_period'], null, rowsMost);
  const periods = controlled.filter(({ data }) => !data.voided_at).map(periodOf);
  const preserved = (await ordersAsKnown(tx, fleetId, event, unitId)).length > 0;
  const counts = await countsAsKnown(tx, fleetId, event, of, kindsOf(null));
  const kept = { of, zone, periods, preserved, counts };
  const kinds = await retentionAsKnown(tx, fleetId, known, kept);
  return { controlEnded: controlEnded(periods), preserved, kinds };
}
