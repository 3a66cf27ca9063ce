import { dimensionOf, formatGrains } from '../usage/meter.ts';
import type { RetentionKind } from './retention.ts';

/**
 * What a row of the record is called and says, by the table that it stands in. Rows come as they
 * were written; nothing here asks what they are by now.
 */
export const RECORD_SECTIONS = [
  'upkeep',
  'cards',
  'findings',
  'stops',
  'reports',
  'dispatch',
  'measurements',
  'parts',
  'meters',
  'unit',
] as const;
export type RecordSection = (typeof RECORD_SECTIONS)[number];

export type RecordData = Readonly<Record<string, unknown>>;

interface RecordKind {
  section: RecordSection;
  retention: RetentionKind;
  /** Its nature, in words. */
  words(row: RecordData): string;
}

const said = (value: unknown): string =>
  value === null || value === undefined || value === '' ? '' : String(value).replaceAll('_', ' ');

/** `a: b, c` of what is there. */
function phrase(head: string, ...parts: unknown[]): string {
  const told = parts.map(said).filter((each) => each !== '');
  return told.length === 0 ? head : `${head}: ${told.join(', ')}`;
}

const thousandths = (value: unknown, unit: unknown): string =>
  value === null || value === undefined ? '' : `${Number(value) / 1000} ${said(unit)}`.trim();

const spanShape = /^\["(\d{4}-\d\d-\d\d \d\d:\d\d:\d\d(?:\.\d+)?)\+00",(?:"(.*)\+00")?\)$/;
/** A span of the database in words. */
function fromTo(value: unknown): string {
  const span = spanShape.exec(String(value));
  if (!span) return '';
  return `from ${span[1]}${span[2] ? ` to ${span[2]}` : ''} UTC`;
}

const kind = (
  section: RecordSection,
  retention: RetentionKind,
  words: RecordKind['words'],
): RecordKind => ({ section, retention, words });

/** The kinds that stand on their own; every other belongs to one of them. */
export const recordKinds: Readonly<Record<string, RecordKind>> = {
  task_done: kind('upkeep', 'upkeep', (row) =>
    phrase('Upkeep done', row.task_key, row.estimated === true ? 'estimated' : ''),
  ),
  task_deferral: kind('upkeep', 'upkeep', (row) =>
    phrase('Upkeep deferred', row.task_key, `until ${said(row.until_day)}`, row.restriction),
  ),
  task_call: kind('upkeep', 'upkeep', (row) =>
    phrase('Upkeep called due', row.task_key, row.cause, row.what),
  ),
  job_card: kind('cards', 'upkeep', (row) => phrase('Job card', row.kind, row.state)),
  finding: kind('findings', 'upkeep', (row) =>
    phrase('Finding', row.grade, row.point_key, row.part, row.words, row.closed_how),
  ),
  stop: kind('stops', 'upkeep', (row) =>
    phrase('Stop', row.kind, row.effect, (row.functions as string[])?.join(' '), row.state),
  ),
  symptom: kind('reports', 'walk_round', (row) =>
    phrase('Symptom', row.symptom, row.words, row.state),
  ),
  incident: kind('reports', 'upkeep', (row) => phrase('Incident', row.kind, row.words)),
  walk_round: kind('reports', 'walk_round', (row) => phrase('Walk-round', row.state)),
  officer_report: kind('reports', 'officer_report', (row) => phrase("Officer's report", row.words)),
  assignment: kind('dispatch', 'other', (row) =>
    phrase(
      'Sent',
      (row.functions as string[])?.join(' '),
      `relied on event ${said(row.relied_on)}`,
      row.reference,
    ),
  ),
  visit: kind('dispatch', 'other', (row) =>
    phrase('Visit to the shop', row.bay, row.cancelled_at ? 'cancelled' : ''),
  ),
  measurement: kind('measurements', 'wear', (row) =>
    phrase(
      'Measured',
      row.point_key,
      row.part,
      row.gauge ?? thousandths(row.value, row.unit),
      row.verdict,
      row.questioned_against ? 'questioned' : '',
    ),
  ),
  take_up: kind('measurements', 'wear', (row) =>
    phrase('Tension taken up', row.point_key, thousandths(row.turns, 'turns')),
  ),
  removal_check: kind('measurements', 'upkeep', (row) =>
    phrase('Held against removal benchmarks', row.subject, row.point_key, row.decision),
  ),
  part_life: kind('parts', 'upkeep', (row) => phrase('Part', row.part, row.point_key)),
  hand_reading: kind('meters', 'other', (row) => {
    const unit = dimensionOf(String(row.meter));
    const value = formatGrains(Number(row.grains), unit);
    return phrase('Meter read by hand', row.meter, `${value} ${unit}`);
  }),
  unit: kind('unit', 'other', (row) => phrase('Unit', row.number)),
  asset: kind('unit', 'other', (row) => phrase('Asset', row.kind, row.serial)),
  pattern_move: kind('unit', 'other', (row) => phrase('Follows another pattern', row.to_version)),
  install: kind('unit', 'other', (row) =>
    phrase('Install', row.asset_id ? 'asset' : 'gateway', fromTo(row.during)),
  ),
  install_correction: kind('unit', 'other', (row) =>
    phrase('Install corrected', row.kind, row.reason),
  ),
  unit_yard: kind('unit', 'other', (row) => phrase('Yard', row.role, fromTo(row.during))),
  severity: kind('unit', 'other', (row) => phrase('Hard use', row.kind)),
  control_period: kind('unit', 'other', (row) =>
    phrase('Controlled', `from ${said(row.from_day)}`, row.ended_day && `to ${row.ended_day}`),
  ),
  preservation_order: kind('unit', 'other', (row) =>
    phrase('Preservation order', row.reason, row.lifted_at ? 'lifted' : ''),
  ),
};

export const kindsOfSection = (section: RecordSection): string[] =>
  Object.entries(recordKinds).flatMap(([name, each]) => (each.section === section ? [name] : []));

const voided = ['voided_at', 'withdrawn_at', 'cancelled_at'] as const;

/** The nature of a row in words; what was declared wrong says so. */
export function recordWords(name: string, row: RecordData): string {
  const words = recordKinds[name]?.words(row) ?? said(name);
  const wrong = voided.some((column) => row[column] != null);
  return wrong ? `Declared wrong. ${words}` : words;
}

const namers = [
  'name',
  'by_name',
  'placed_by_name',
  'placed_by',
  'read_by',
  'reported_by',
  'agreed_by',
  'approver',
  'recorded_by',
] as const;

/** Who did or said it, as far as the row tells. */
export function recordBy(row: RecordData): string | null {
  const column = namers.find((each) => typeof row[each] === 'string');
  return column === undefined ? null : (row[column] as string);
}

/** Columns that say nothing to a reader of the record. */
const silent = new Set(['fleet_id', 'shard', 'line_id']);
const instantShape = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?\+00:00$/;

const millis = (text: string): string => {
  const [whole, fraction = ''] = text.replace(' ', 'T').split('.');
  return `${whole}.${fraction.slice(0, 3).padEnd(3, '0')}Z`;
};

function shownValue(value: unknown): unknown {
  if (typeof value !== 'string') return value;
  if (instantShape.test(value)) return millis(value.slice(0, -6));
  const span = spanShape.exec(value);
  if (!span) return value;
  return { from: millis(span[1] as string), to: span[2] ? millis(span[2]) : null };
}

/** The columns of a row as the API writes them: names in camel case, moments in UTC with `Z`. */
export function shownData(row: RecordData): Record<string, unknown> {
  return Object.fromEntries(
    Object.entries(row)
      .filter(([column]) => !silent.has(column))
      .map(([column, value]) => [
        column.replace(/_([a-z])/g, (_, letter: string) => letter.toUpperCase()),
        shownValue(value),
      ]),
  );
}
