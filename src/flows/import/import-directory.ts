import type { SheetName } from '../../domain/import/sheet-columns.ts';
import type { AssetKind } from '../../domain/usage/meter.ts';
import {
  assetsWithSerial,
  gatewaysWithSerial,
  type PatternByName,
  patternsNamed,
  unitsNumbered,
  yardsNamed,
} from '../../store/import-names.ts';
import { type InstallRow, installsOf } from '../../store/install.ts';
import type { Tx } from '../../store/tx.ts';
import { homeYards, type UnitCalendarRow } from '../../store/unit.ts';
import type { ImportRow } from './import-row.ts';

export interface KnownYard {
  yardId: string;
  timeZone: string;
}
export interface KnownUnit {
  unitId: string;
  note: string | null;
  homeYardId: string | null;
  homeSinceMs: number;
  zone: string | null;
}
export interface KnownAsset {
  assetId: string;
  kind: AssetKind;
  patternId: string | null;
  patternVersion: number | null;
}
export interface KnownGateway {
  gatewayId: string;
  note: string | null;
}

/** A name whose own row is faulty: what refers to it is passed over without a fault of its own. */
export const faulty = 'faulty';
type Known<T> = Map<string, T | typeof faulty>;

export const assetName = (kind: string | null, serial: string | null): string =>
  `${kind} ${serial}`;

/** Everything that the rows of an import name: what is there already, and what they have made. */
export class ImportDirectory {
  readonly yards: Known<KnownYard> = new Map();
  readonly units: Known<KnownUnit> = new Map();
  readonly assets: Known<KnownAsset> = new Map();
  readonly gateways: Known<KnownGateway> = new Map();
  readonly patterns = new Map<string, PatternByName[]>();
  /** By id of an asset or gateway. */
  readonly installs = new Map<string, InstallRow[]>();
  /** Zones of units by id. */
  readonly zones = new Map<string, string>();
  /** Assets by id of which a row says where they are, and is faulty. */
  readonly badlyPlaced = new Set<string>();
  /** Sheets that could not be read as a whole: nothing is said of what refers to them. */
  readonly unread = new Set<SheetName>();

  /** The named thing; undefined when there is none, or none that can be used. */
  refer<T>(
    known: Known<T>,
    from: SheetName,
    row: ImportRow,
    column: string,
    name: string,
    what: string,
  ): T | undefined {
    const found = known.get(name);
    if (found === faulty || (found === undefined && this.unread.has(from))) {
      row.faulty = true;
      return undefined;
    }
    if (found === undefined) {
      const reason = `there is no such ${what}, neither here nor in the sheet ${from}`;
      row.fault(column, 'reference_unknown', reason);
    }
    return found;
  }

  asset(row: ImportRow): KnownAsset | undefined {
    const [kind, serial] = [row.choice('asset kind'), row.text('asset serial')];
    if (kind === null || serial === null) {
      row.faulty = true;
      return undefined;
    }
    const name = assetName(kind, serial);
    return this.refer(this.assets, 'assets', row, 'asset serial', name, kind.replace('_', ' '));
  }

  unit(row: ImportRow, column: string): KnownUnit | undefined {
    const number = row.text(column);
    if (number === null) return undefined;
    return this.refer(this.units, 'units', row, column, number, 'unit');
  }

  /** The zone of the unit that an asset is, or was last, on. */
  zoneOfAsset(assetId: string): string | null {
    const last = (this.installs.get(assetId) ?? []).reduce<InstallRow | null>(
      (a, b) => (a === null || b.during.fromMs > a.during.fromMs ? b : a),
      null,
    );
    return last ? (this.zones.get(last.unitId) ?? null) : null;
  }

  /**
   * A time of a row about an asset. Where only faults elsewhere keep its zone from being known, the
   * row is passed over without a fault of its own, unless it is no time at all.
   */
  momentOfAsset(row: ImportRow, column: string, assetId: string): number | null | undefined {
    const zone = this.zoneOfAsset(assetId);
    const doubtful = this.badlyPlaced.has(assetId) || this.unread.has('installs');
    if (zone !== null || !doubtful) return row.moment(column, zone);
    row.moment(column, 'UTC');
    row.faulty = true;
    return undefined;
  }

  addInstall(row: InstallRow): void {
    const what = (row.assetId ?? row.gatewayId) as string;
    this.installs.set(what, [...(this.installs.get(what) ?? []), row]);
  }
}

type Rows = Readonly<Partial<Record<SheetName, readonly ImportRow[]>>>;

function named(rows: Rows, places: readonly [SheetName, string][]): string[] {
  const names = places.flatMap(([sheet, column]) =>
    (rows[sheet] ?? []).flatMap((row) => row.text(column) ?? []),
  );
  return [...new Set(names)];
}

const calendarAt = (calendars: readonly UnitCalendarRow[], nowMs: number) =>
  calendars.findLast((each) => each.fromMs <= nowMs) ?? calendars[0];

/** Looks up what is there of all that the rows name. */
export async function openDirectory(
  tx: Tx,
  fleetId: number,
  nowMs: number,
  rows: Rows,
): Promise<ImportDirectory> {
  const directory = new ImportDirectory();
  const yardNames = named(rows, [
    ['yards', 'name'],
    ['units', 'home yard'],
  ]);
  for (const { name, yardId, timeZone } of await yardsNamed(tx, fleetId, yardNames)) {
    directory.yards.set(name, { yardId, timeZone });
  }
  const units = await unitsNumbered(
    tx,
    fleetId,
    named(rows, [
      ['units', 'number'],
      ['installs', 'unit'],
    ]),
  );
  const assets = await assetsWithSerial(
    tx,
    fleetId,
    named(rows, [
      ['assets', 'serial'],
      ['installs', 'asset serial'],
      ['startingValues', 'asset serial'],
      ['lastDone', 'asset serial'],
    ]),
  );
  const gateways = await gatewaysWithSerial(
    tx,
    fleetId,
    named(rows, [
      ['gateways', 'serial'],
      ['installs', 'gateway serial'],
    ]),
  );
  for (const { kind, serial, assetId, patternId, patternVersion } of assets) {
    const known = { assetId, kind, patternId, patternVersion };
    directory.assets.set(assetName(kind, serial), known);
  }
  for (const { serial, gatewayId, note } of gateways) {
    directory.gateways.set(serial, { gatewayId, note });
  }
  const installs = await installsOf(tx, fleetId, {
    assetIds: assets.map((each) => each.assetId),
    gatewayIds: gateways.map((each) => each.gatewayId),
  });
  for (const install of installs) directory.addInstall(install);
  const unitIds = [...units.map((each) => each.unitId), ...installs.map((each) => each.unitId)];
  const homes = await homeYards(tx, fleetId, [...new Set(unitIds)]);
  for (const [unitId, calendars] of homes) {
    const home = calendarAt(calendars, nowMs);
    if (home) directory.zones.set(unitId, home.timeZone);
  }
  for (const { number, unitId, note } of units) {
    const home = calendarAt(homes.get(unitId) ?? [], nowMs);
    directory.units.set(number, {
      unitId,
      note,
      homeYardId: home?.yardId ?? null,
      homeSinceMs: home?.fromMs ?? 0,
      zone: home?.timeZone ?? null,
    });
  }
  for (const pattern of await patternsNamed(tx, fleetId, named(rows, [['assets', 'pattern']]))) {
    const versions = directory.patterns.get(pattern.name) ?? [];
    directory.patterns.set(pattern.name, [...versions, pattern]);
  }
  return directory;
}
