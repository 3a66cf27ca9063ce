import { v7 as uuid } from 'uuid';
import { dimensionOf, formatGrains } from '../domain/usage/meter.ts';
import { Problem } from '../errors.ts';
import { lockLine } from '../store/counter.ts';
import {
  conflictsAt,
  decideConflict,
  findStream,
  type GatewayStream,
  insertDecision,
  jumpAt,
  type ListedDecision,
  markLineFromPosition,
  type ReadingDecisionRow,
} from '../store/reading-decision.ts';
import { mustFindGateway } from './must-find.ts';
import type { Recorder } from './record-upkeep.ts';
import type { Work } from './work.ts';

export interface NewDecision {
  counter: string;
  epoch: number;
  seq: number;
  decision: ReadingDecisionRow['decision'];
  /** Which of several values of a number stands. */
  raw: number | undefined;
  atMs: number | undefined;
  name: string;
  reason: string;
}

/** What a decision says of a reading, besides who said it. */
type Said = Pick<ReadingDecisionRow, 'subject' | 'atMs' | 'raw' | 'against' | 'grains'>;

const impossible = (detail: string) => new Problem('decision_impossible', detail);
const nothing = (detail: string) => new Problem('nothing_to_decide', detail);

/** Words that bring use which was not counted; the others leave what was. */
const changesUse: ReadonlySet<string> = new Set(['counts', 'this_stands']);

type ConflictWord = 'first_stands' | 'this_stands' | 'neither';

async function sayOfConflict(
  work: Work,
  by: Recorder,
  stream: GatewayStream,
  input: NewDecision,
): Promise<Said> {
  const { tx, fleetId, nowMs } = work;
  const { streamId } = stream;
  const { seq, raw, atMs } = input;
  const decision = input.decision as ConflictWord;
  const known = await conflictsAt(tx, fleetId, streamId, seq);
  if (known.length === 0) {
    throw nothing('That number came with one value only. Of a jump: `counts`, or not.');
  }
  const meant = known.filter(
    (each) => (raw === undefined || each.raw === raw) && (atMs === undefined || each.atMs === atMs),
  );
  const only = meant[0];
  if (!only) throw impossible('The number never came with that value.');
  if (decision === 'this_stands' && meant.length > 1) {
    throw impossible('It came with several: say which one stands, with `raw` and `at`.');
  }
  const chosen = decision === 'this_stands' ? only : null;
  const word = { decision, chosen, by: `key/${by.keyId}`, atMs: nowMs };
  await decideConflict(tx, fleetId, { streamId, seq }, word);
  return { subject: 'conflict', ...only, against: null, grains: null };
}

async function sayOfJump(
  work: Work,
  gatewayId: string,
  stream: GatewayStream,
  { seq, decision }: NewDecision,
): Promise<Said> {
  const { streamId, resolutionGrains } = stream;
  const jump = await jumpAt(work.tx, work.fleetId, gatewayId, { streamId, seq });
  if (!jump && (await conflictsAt(work.tx, work.fleetId, streamId, seq)).length > 0) {
    throw impossible('That number came with several values: say which of them stands.');
  }
  if (!jump)
    throw nothing('That reading fits what stood before it, or what followed took it back.');
  const rise = jump.raw - jump.against;
  if (decision === 'counts' && rise < 0) {
    const way = 'give what was used as an adjustment';
    throw impossible(`It fell, and a fall does not say what was used; ${way}.`);
  }
  const grains = decision === 'counts' ? rise * resolutionGrains : null;
  return { subject: 'jump', ...jump, grains };
}

/**
 * A person's word on a reading that the fold could not judge: which of two values of one number
 * stands, or whether a jump was use. The line is folded anew from there on; a later word on the
 * same reading takes the place of an earlier one.
 *
 * @throws Problem not_found, nothing_to_decide, decision_impossible
 */
export async function decideReading(
  work: Work,
  by: Recorder,
  gatewayId: string,
  input: NewDecision,
): Promise<ListedDecision> {
  const { tx, fleetId, nowMs } = work;
  await mustFindGateway(tx, fleetId, gatewayId);
  const { counter, epoch, seq, decision } = input;
  const stream = await findStream(tx, fleetId, gatewayId, { counter, epoch });
  if (!stream) throw new Problem('not_found', 'The gateway has no such counter in that epoch.');
  const { lineId, ordinal, meter } = stream;
  // Nobody folds the line meanwhile, so what is decided on is what stands.
  await lockLine(tx, fleetId, lineId);
  if (stream.cutSeq !== null && seq <= stream.cutSeq && changesUse.has(decision)) {
    throw impossible('That reading is put away: give what was used as an adjustment.');
  }
  const isJump = decision === 'counts' || decision === 'does_not_count';
  const said = isJump
    ? await sayOfJump(work, gatewayId, stream, input)
    : await sayOfConflict(work, by, stream, input);
  const row: ReadingDecisionRow = {
    fleetId,
    decisionId: uuid(),
    gatewayId,
    lineId,
    ordinal,
    seq,
    decision,
    ...said,
    name: input.name,
    reason: input.reason,
    recordedBy: `key/${by.keyId}`,
    recordedAtMs: nowMs,
  };
  await insertDecision(tx, row);
  const unit = dimensionOf(meter);
  const { decisionId, raw, against, grains } = row;
  const amount = grains === null ? null : formatGrains(grains, unit);
  work.record({
    type: 'reading.decided',
    subject: `gateway/${gatewayId}`,
    data: { decisionId, counter, epoch, seq, meter, decision, raw, against, amount },
    personal: { name: row.name, reason: row.reason, by: by.name },
    occurredAtMs: nowMs,
  });
  const subject = `gateway/${gatewayId}`;
  const sinceMs = Math.min(row.atMs, nowMs);
  const cause = { what: 'reading_decided', subject, id: decisionId, sinceMs } as const;
  const from = { ordinal, seq };
  for (const shard of await markLineFromPosition(tx, fleetId, lineId, from, nowMs, [cause])) {
    work.wake('fold', shard);
  }
  return { ...row, counter, epoch, meter };
}
