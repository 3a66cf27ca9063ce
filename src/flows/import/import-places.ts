import { instantText } from '../../domain/instant.ts';
import { setUnitNote } from '../../store/import-names.ts';
import { addUnit, addYard, earliestMs } from '../keep-fleet.ts';
import { faulty } from './import-directory.ts';
import type { ImportRow } from './import-row.ts';
import { type Became, differs, type Importing, Twice } from './importing.ts';

/** The bounds of a time of the past, with a fault outside of them. */
export function isPossible(
  row: ImportRow,
  column: string,
  atMs: number,
  latestMs: number,
): boolean {
  if (atMs >= earliestMs && atMs <= latestMs) return true;
  const reason = `must be from 2000-01-01 to ${instantText(latestMs)}`;
  row.fault(column, 'time_invalid', reason);
  return false;
}

export function yardImporter({ work, directory }: Importing) {
  const twice = new Twice();
  return async (row: ImportRow): Promise<Became | null> => {
    const [name, timeZone] = [row.text('name'), row.text('time zone')];
    if (name !== null && twice.met(row, name, 'name')) return null;
    if (name === null) return null;
    const there = directory.yards.get(name);
    if (there !== undefined && there !== faulty) {
      differs(row, 'time zone', there.timeZone, timeZone);
      return row.faulty ? null : 'unchanged';
    }
    if (row.faulty || timeZone === null) {
      directory.yards.set(name, faulty);
      return null;
    }
    const { yardId } = await addYard(work, { name, timeZone });
    directory.yards.set(name, { yardId, timeZone });
    return 'create';
  };
}

async function changeUnit(
  { work, directory }: Importing,
  row: ImportRow,
  number: string,
): Promise<Became | null> {
  const there = directory.units.get(number);
  if (there === undefined || there === faulty) return null;
  const yard = row.text('home yard');
  const wanted =
    yard === null
      ? undefined
      : directory.refer(directory.yards, 'yards', row, 'home yard', yard, 'yard');
  if (wanted && wanted.yardId !== there.homeYardId) {
    row.fault('home yard', 'differs', 'it is here already, with another home yard');
  }
  const sinceMs = row.moment('since', there.zone);
  if (typeof sinceMs === 'number') {
    differs(row, 'since', instantText(there.homeSinceMs), instantText(sinceMs));
  }
  if (row.faulty) return null;
  const note = row.text('note');
  if (note === null || note === there.note) return 'unchanged';
  row.change('note', there.note, note);
  await setUnitNote(work.tx, work.fleetId, there.unitId, note);
  const subject = `unit/${there.unitId}`;
  const occurredAtMs = work.nowMs;
  work.record({ type: 'unit.noted', subject, data: {}, personal: { note }, occurredAtMs });
  there.note = note;
  return 'update';
}

export function unitImporter(importing: Importing) {
  const { work, directory } = importing;
  const twice = new Twice();
  return async (row: ImportRow): Promise<Became | null> => {
    const number = row.text('number');
    if (number === null || twice.met(row, number, 'number')) return null;
    if (directory.units.has(number)) return changeUnit(importing, row, number);
    const yard = row.text('home yard');
    const home =
      yard === null
        ? undefined
        : directory.refer(directory.yards, 'yards', row, 'home yard', yard, 'yard');
    const sinceMs = home ? row.moment('since', home.timeZone) : null;
    if (typeof sinceMs === 'number') isPossible(row, 'since', sinceMs, work.nowMs);
    if (row.faulty || !home || sinceMs === undefined) {
      directory.units.set(number, faulty);
      return null;
    }
    const note = row.text('note');
    const made = await addUnit(work, { number, homeYardId: home.yardId, sinceMs, note });
    directory.units.set(number, {
      unitId: made.unitId,
      note,
      homeYardId: home.yardId,
      homeSinceMs: sinceMs ?? earliestMs,
      zone: home.timeZone,
    });
    directory.zones.set(made.unitId, home.timeZone);
    return 'create';
  };
}
