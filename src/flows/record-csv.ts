import { csvLine } from '../domain/shop/csv.ts';
import { withFleet } from '../store/pool.ts';
import type { RecordKey } from '../store/record-version.ts';
import type { AsKnown } from './as-known.ts';
import {
  type KnownEntry,
  type RecordSubject,
  readRecordPage,
  type ShownPart,
  showRecordEntry,
} from './read-record.ts';
import type { readRecordHead } from './read-record-head.ts';
import type { FlowDeps } from './work.ts';

const columns = [
  'section',
  'kind',
  'id',
  'of',
  'at',
  'nature',
  'by',
  'known_since_event',
  'known_since',
  'last_changed_event',
  'last_changed',
  'data',
];
/** Each page asks for all that the unit has: few and large ones. */
const rowsAtOnce = 1_000;

type Head = Awaited<ReturnType<typeof readRecordHead>>;
type Line = (string | number | null)[];

const line = (section: string, kind: string, id: string | null, nature: string, data: object) => [
  ...[section, kind, id, null, null, nature, null, null, null, null, null],
  JSON.stringify(data),
];

/** What 49 CFR 396.3(b) asks for first: identification, then nature and due date. */
function headLines(head: Head): Line[] {
  const { unit, assets, upkeep, control, preservation, retention, asKnown } = head;
  const identified = [
    ...(unit ? [line('identification', 'unit', unit.unitId, `Unit ${unit.number}`, unit)] : []),
    ...assets.map((each) => {
      const what = [each.kind, each.make, each.modelYear, each.serial, each.tireSize];
      const words = what.filter((part) => part !== null).join(' ');
      return line('identification', 'asset', each.assetId, words, each);
    }),
    ...control.map((each) => line('identification', 'control', null, 'Controlled', each)),
  ];
  return [
    line('as_known', 'event', String(asKnown.event), 'As it was known at this event', asKnown),
    ...identified,
    ...upkeep.map((each) => {
      const by = each.dueBy === null ? 'no day in sight' : `due by ${each.dueBy}`;
      return line('due', 'task', each.task, `${each.nature}; ${by}`, each);
    }),
    ...retention.map((each) => line('retention', each.kind, null, each.words, each)),
    ...preservation.map((each) => line('retention', 'order', each.orderId, each.reason, each)),
  ];
}

function* entryLines(section: string, of: string | null, entry: ShownPart): Generator<Line> {
  const { kind, id, at, words, by, knownSince, lastChanged, data, parts } = entry;
  yield [
    ...[section, kind, id, of, at, words, by],
    ...[knownSince.event, knownSince.recordedAt, lastChanged.event, lastChanged.recordedAt],
    JSON.stringify(data),
  ];
  for (const part of parts) yield* entryLines(section, id, part);
}

/**
 * A whole record as CSV, line by line, as it was known at an event. Read in pages, so that the
 * memory that it takes does not grow with it; what is known of an event never changes between them.
 */
export async function* recordCsv(
  deps: FlowDeps,
  fleetId: number,
  known: AsKnown,
  subject: RecordSubject,
  head: Head,
): AsyncGenerator<string> {
  yield csvLine(columns);
  for (const each of headLines(head)) yield csvLine(each);
  let after: RecordKey | null = null;
  for (;;) {
    const from: RecordKey | null = after;
    const asked = { subject, section: null };
    const entries: KnownEntry[] = await withFleet(deps.pools.app, [fleetId], (tx) =>
      readRecordPage(tx, fleetId, known.event, asked, from, rowsAtOnce),
    );
    for (const entry of entries) {
      const shown = showRecordEntry(entry);
      for (const each of entryLines(shown.section, null, shown)) yield csvLine(each);
    }
    const last: KnownEntry['row'] | undefined = entries.at(-1)?.row;
    if (!last || entries.length < rowsAtOnce) return;
    after = [last.atMs, last.kind, last.rowId];
  }
}
