import { assetKinds, builtInMeters } from '../usage/meter.ts';

/**
 * The sheets that a fleet is brought in with. This table reads the sheets, checks them, and is the
 * page that explains them.
 */

export type CellKind = 'text' | 'whole' | 'number' | 'moment' | 'yes_no' | 'time_zone' | 'choice';

export interface Column {
  readonly name: string;
  readonly kind: CellKind;
  readonly required: boolean;
  /** Characters at most. */
  readonly most: number;
  readonly choices?: readonly string[];
  readonly about: string;
  readonly example: string;
}

const column = (
  name: string,
  kind: CellKind,
  most: number,
  example: string,
  about: string,
  more: { required?: false; choices?: readonly string[] } = {},
): Column => ({ name, kind, most, example, about, required: true, ...more });

const optional = { required: false } as const;
const meters = builtInMeters.map((meter) => meter.name);

const assetKind = column('asset kind', 'choice', 20, 'lift', 'Kind of the asset.', {
  choices: assetKinds,
});
const assetSerial = column('asset serial', 'text', 80, 'L-0412', 'Serial of the asset.');
const note = column('note', 'text', 2000, '', 'Anything; a changed note is taken over.', optional);

export interface Sheet {
  readonly about: string;
  readonly columns: readonly Column[];
}

export const sheets = {
  yards: {
    about: 'Your places. A yard that exists must have the same time zone.',
    columns: [
      column('name', 'text', 200, 'North', 'Name of the yard.'),
      column('time zone', 'time_zone', 64, 'America/Chicago', 'IANA name of its time zone.'),
    ],
  },
  units: {
    about: 'The numbers that dispatch sends. A unit that exists must have the same home yard.',
    columns: [
      column('number', 'text', 40, '12', 'Number of the unit.'),
      column('home yard', 'text', 200, 'North', 'Name of its home yard.'),
      column('since', 'moment', 40, '2024-01-15', 'When it came to that yard.', optional),
      note,
    ],
  },
  assets: {
    about:
      'Equipment with a serial. An asset without a pattern gets the one given here; another ' +
      'pattern than it has is refused.',
    columns: [
      column('kind', 'choice', 20, 'lift', 'Kind of the asset.', { choices: assetKinds }),
      column('serial', 'text', 80, 'L-0412', 'Its serial, as on the plate.'),
      column('pattern', 'text', 200, 'My lift', 'Name of its lift pattern.', optional),
      column(
        'pattern version',
        'whole',
        9,
        '1',
        'Version of that pattern; the newest when left out.',
        optional,
      ),
    ],
  },
  gateways: {
    about: 'Gateways. Their keys are in the answer of the import that makes them, once.',
    columns: [column('serial', 'text', 80, 'G-77', 'Serial of the gateway.'), note],
  },
  installs: {
    about: 'What is, or was, on which unit. One asset or one gateway a row.',
    columns: [
      column('unit', 'text', 40, '12', 'Number of the unit.'),
      { ...assetKind, required: false },
      { ...assetSerial, required: false },
      column('gateway serial', 'text', 80, '', 'Serial of the gateway, if it is one.', optional),
      column('from', 'moment', 40, '2024-01-15', 'Since when.'),
      column('to', 'moment', 40, '', 'Until when, if it is over.', optional),
      note,
    ],
  },
  startingValues: {
    about:
      "What an asset's meter stood at, at a time: the use before it was counted here. One row " +
      'for each meter of an asset; another value is refused unless it says which it replaces.',
    columns: [
      assetKind,
      assetSerial,
      column('meter', 'choice', 40, 'pto_hours', 'The meter.', { choices: meters }),
      column('value', 'number', 20, '1240.5', 'What it stood at, in hours, cycles or kilometres.'),
      column('at', 'moment', 40, '2026-11-02 08:00', 'When it was read.'),
      column(
        'instead of',
        'number',
        20,
        '',
        'The value that was given before and was wrong: this one takes its place.',
        optional,
      ),
    ],
  },
  lastDone: {
    about:
      'When each task was last done. With the value of a meter then, and a starting value of ' +
      'that meter, the use between the two counts. A task that counts two meters may have a ' +
      'row for each.',
    columns: [
      assetKind,
      assetSerial,
      column('task', 'text', 80, 'pump_oil', 'Key of the task in the pattern of the asset.'),
      column('done on', 'moment', 40, '2026-05-01', 'When it was done.'),
      column('estimated', 'yes_no', 10, 'no', 'yes when it is a guess.', optional),
      column('meter', 'choice', 40, 'pto_hours', 'A meter that the task counts.', {
        ...optional,
        choices: meters,
      }),
      column('meter value', 'number', 20, '1200.0', 'What that meter stood at then.', optional),
      note,
    ],
  },
} as const satisfies Record<string, Sheet>;

export type SheetName = keyof typeof sheets;
/** In the order in which later ones refer to earlier ones. */
export const sheetNames = Object.keys(sheets) as SheetName[];

/** 'Home Yard', 'home_yard' and 'homeYard' are one name. */
export const headerKey = (header: string): string =>
  header
    .trim()
    .toLowerCase()
    .replace(/[\s_-]+/g, '');

/** The first line of an empty sheet, and a row that shows how it is filled in. */
export function templateOf(sheet: SheetName): string {
  const { columns } = sheets[sheet];
  const line = (cells: readonly string[]) => `${cells.join(',')}\r\n`;
  return line(columns.map((each) => each.name)) + line(columns.map((each) => each.example));
}
