import { v7 as uuid } from 'uuid';
import type { Cause } from '../domain/events/cause.ts';
import { instantText, instantTextOrNull } from '../domain/instant.ts';
import { sharedPeriod } from '../domain/usage/link-sources.ts';
import { Problem } from '../errors.ts';
import { countersOf } from '../store/counter.ts';
import { findHandLine } from '../store/hand-reading.ts';
import { lockInstalls } from '../store/install.ts';
import {
  findChoice,
  insertChoice,
  type SourceChoiceRow,
  voidChoice,
} from '../store/meter-source.ts';
import { meterOfAsset } from './hand-reading.ts';
import { linkMeterSources, workOutSources } from './link-meter-sources.ts';
import type { Recorder } from './record-upkeep.ts';
import { checkPeriod } from './rewrite-install.ts';
import type { Work } from './work.ts';

/** A counter of a gateway, or what people read off the dial. */
export type ChosenSource = { gatewayId: string; counter: string | undefined } | 'hand';

export interface NewChoice {
  meter: string;
  source: ChosenSource;
  fromMs: number;
  toMs: number | null;
  name: string;
  reason: string;
}

const unknown = (detail: string) => new Problem('reference_unknown', detail);

/** The line that is meant, and its counter. */
async function lineOf(
  work: Work,
  assetId: string,
  { meter, source }: NewChoice,
): Promise<{ lineId: number; counterId: number | null }> {
  const { tx, fleetId } = work;
  if (source === 'hand') {
    const line = await findHandLine(tx, fleetId, assetId, meter);
    if (!line) throw unknown('Nobody has read that meter off its dial yet.');
    return { lineId: line.lineId, counterId: null };
  }
  const counters = (await countersOf(tx, fleetId, [source.gatewayId])).filter(
    (each) =>
      each.line.meter === meter && (source.counter === undefined || each.name === source.counter),
  );
  if (counters.length > 1) throw unknown('The gateway has several: say which with `counter`.');
  const only = counters[0];
  if (!only) throw unknown('The gateway has declared no such counter of that meter.');
  return { lineId: only.line.lineId, counterId: only.counterId };
}

async function relink(work: Work, row: SourceChoiceRow, what: Cause['what']): Promise<void> {
  const { assetId, choiceId, during } = row;
  const subject = `asset/${assetId}`;
  const cause: Cause = { what, subject, id: choiceId, sinceMs: during.fromMs };
  await linkMeterSources(work, { unitIds: [], assetIds: [assetId], causes: [cause] });
}

/**
 * A person's word on which of several shall count for an asset's meter, from-to. It holds while the
 * chosen one could count at all; where choices overlap the later holds.
 *
 * @throws Problem not_found, meter_unknown, meter_not_counted, time_invalid, reference_unknown,
 * source_elsewhere
 */
export async function chooseSource(
  work: Work,
  by: Recorder,
  assetId: string,
  input: NewChoice,
): Promise<SourceChoiceRow> {
  const { tx, fleetId, nowMs } = work;
  const { meter, fromMs, toMs, name, reason } = input;
  await meterOfAsset(work, assetId, meter);
  checkPeriod(fromMs, toMs, nowMs);
  await lockInstalls(tx, fleetId);
  const { lineId, counterId } = await lineOf(work, assetId, input);
  const [sources] = await workOutSources(tx, fleetId, [assetId]);
  const could = sources?.candidates.some(
    (each) =>
      each.meter === meter && each.lineId === lineId && sharedPeriod(each, { fromMs, toMs }),
  );
  if (!could) {
    const detail = 'It was never on the unit of the asset in that time, or was not read yet.';
    throw new Problem('source_elsewhere', detail);
  }
  const row: SourceChoiceRow = {
    fleetId,
    choiceId: uuid(),
    assetId,
    meter,
    counterId,
    lineId,
    during: { fromMs, toMs },
    reason,
    recordedBy: `key/${by.keyId}`,
    recordedAtMs: nowMs,
    voidReason: null,
    voidedBy: null,
    voidedAtMs: null,
    name,
    voidedName: null,
  };
  await insertChoice(tx, row);
  work.record({
    type: 'meter_source.chosen',
    subject: `asset/${assetId}`,
    data: {
      choiceId: row.choiceId,
      meter,
      source: input.source,
      from: instantText(fromMs),
      to: instantTextOrNull(toMs),
    },
    personal: { name, reason, by: by.name },
    occurredAtMs: fromMs,
  });
  await relink(work, row, 'meter_source_chosen');
  return row;
}

/**
 * Takes a choice back: what it said counts for nothing, from its beginning on.
 *
 * @throws Problem not_found, already_voided
 */
export async function withdrawChoice(
  work: Work,
  by: Recorder,
  input: { assetId: string; choiceId: string; name: string; reason: string },
): Promise<SourceChoiceRow> {
  const { tx, fleetId, nowMs } = work;
  await lockInstalls(tx, fleetId);
  const row = await findChoice(tx, fleetId, input.choiceId);
  if (row?.assetId !== input.assetId) {
    throw new Problem('not_found', 'There is no such choice for this asset.');
  }
  if (row.voidedAtMs !== null) throw new Problem('already_voided', 'It was taken back already.');
  const voiding = {
    voidReason: input.reason,
    voidedBy: `key/${by.keyId}`,
    voidedAtMs: nowMs,
    voidedName: input.name,
  };
  await voidChoice(tx, fleetId, row.choiceId, voiding);
  work.record({
    type: 'meter_source.withdrawn',
    subject: `asset/${row.assetId}`,
    data: { choiceId: row.choiceId, meter: row.meter },
    personal: { name: input.name, reason: input.reason, by: by.name },
    occurredAtMs: nowMs,
  });
  await relink(work, row, 'meter_source_voided');
  return { ...row, ...voiding };
}
