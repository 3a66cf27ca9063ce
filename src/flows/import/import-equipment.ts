import type { AssetKind } from '../../domain/usage/meter.ts';
import { type PatternByName, setAssetPattern, setGatewayNote } from '../../store/import-names.ts';
import { addAsset, addGateway } from '../keep-fleet.ts';
import { keepPatternMove } from '../pattern-versions.ts';
import { assetName, faulty, type ImportDirectory } from './import-directory.ts';
import type { ImportRow } from './import-row.ts';
import { type Became, type Importing, Twice } from './importing.ts';

/** The pattern version that a row names: null for none, undefined when it cannot be used. */
function patternNamed(
  directory: ImportDirectory,
  row: ImportRow,
  kind: string,
): PatternByName | null | undefined {
  const name = row.text('pattern');
  const version = row.text('pattern version');
  if (name === null) {
    if (version === null) return null;
    row.fault('pattern version', 'either_or', 'a version without a pattern');
    return undefined;
  }
  const all = directory.patterns.get(name) ?? [];
  if (all.length === 0) {
    row.fault('pattern', 'reference_unknown', 'there is no pattern of that name');
    return undefined;
  }
  if (new Set(all.map((each) => each.patternId)).size > 1) {
    row.fault(
      'pattern',
      'reference_ambiguous',
      'more than one pattern has that name: give one its next version with another name',
    );
    return undefined;
  }
  const newest = all.reduce((a, b) => (b.version > a.version ? b : a));
  const found = version === null ? newest : all.find((each) => each.version === Number(version));
  if (!found) {
    const reason = `there is no such version; the newest of that name is ${newest.version}`;
    row.fault('pattern version', 'reference_unknown', reason);
  } else if (found.assetKind !== kind) {
    row.fault('pattern', 'value_invalid', `that pattern is for a ${found.assetKind}`);
    return undefined;
  }
  return found;
}

async function changeAsset(
  { work, by, directory, reassess }: Importing,
  row: ImportRow,
  name: string,
  pattern: PatternByName | null,
): Promise<Became | null> {
  const there = directory.assets.get(name);
  if (there === undefined || there === faulty) return null;
  if (pattern === null) return 'unchanged';
  if (there.patternId === pattern.patternId) {
    const same = there.patternVersion === pattern.version || row.text('pattern version') === null;
    if (same) return 'unchanged';
    const reason = `it is here already, with version ${there.patternVersion}`;
    row.fault('pattern version', 'differs', reason);
    return null;
  }
  if (there.patternId !== null) {
    row.fault('pattern', 'differs', 'it is here already, with another pattern');
    return null;
  }
  const { patternId, version: patternVersion } = pattern;
  const followed = { assetId: there.assetId, patternId: null, patternVersion: null };
  await keepPatternMove(work, by, followed, { patternId, version: patternVersion });
  await setAssetPattern(work.tx, work.fleetId, there.assetId, { patternId, patternVersion });
  work.record({
    type: 'asset.pattern_given',
    subject: `asset/${there.assetId}`,
    data: { patternId, patternVersion },
    occurredAtMs: work.nowMs,
  });
  row.change('pattern', null, pattern.name);
  Object.assign(there, { patternId, patternVersion });
  for (const { unitId } of directory.installs.get(there.assetId) ?? []) reassess.add(unitId);
  return 'update';
}

export function assetImporter(importing: Importing) {
  const { work, directory } = importing;
  const twice = new Twice();
  return async (row: ImportRow): Promise<Became | null> => {
    const [kind, serial] = [row.choice('kind'), row.text('serial')];
    if (kind === null || serial === null) return null;
    const name = assetName(kind, serial);
    if (twice.met(row, name, 'serial')) return null;
    const pattern = patternNamed(directory, row, kind);
    const there = directory.assets.has(name);
    if (there && !row.faulty && pattern !== undefined) {
      return changeAsset(importing, row, name, pattern);
    }
    if (row.faulty || pattern === undefined) {
      if (!there) directory.assets.set(name, faulty);
      return null;
    }
    const made = await addAsset(work, {
      kind: kind as AssetKind,
      serial,
      patternId: pattern?.patternId ?? null,
      patternVersion: pattern?.version ?? null,
    });
    directory.assets.set(name, {
      assetId: made.assetId,
      kind: made.kind,
      patternId: made.patternId,
      patternVersion: made.patternVersion,
    });
    return 'create';
  };
}

export function gatewayImporter({ work, directory, report }: Importing) {
  const twice = new Twice();
  return async (row: ImportRow): Promise<Became | null> => {
    const [serial, note] = [row.text('serial'), row.text('note')];
    if (serial === null || twice.met(row, serial, 'serial')) return null;
    const there = directory.gateways.get(serial);
    if (row.faulty) {
      if (!there) directory.gateways.set(serial, faulty);
      return null;
    }
    if (there === undefined || there === faulty) {
      const { row: made, secret } = await addGateway(work, { serial, note });
      directory.gateways.set(serial, { gatewayId: made.gatewayId, note });
      report.gatewayKeys.push({ serial, key: secret });
      return 'create';
    }
    if (note === null || note === there.note) return 'unchanged';
    row.change('note', there.note, note);
    await setGatewayNote(work.tx, work.fleetId, there.gatewayId, note);
    const subject = `gateway/${there.gatewayId}`;
    const occurredAtMs = work.nowMs;
    work.record({ type: 'gateway.noted', subject, data: {}, personal: { note }, occurredAtMs });
    return 'update';
  };
}
