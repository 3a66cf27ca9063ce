import {
  type ConflictKey,
  type ConflictQuestion,
  conflictQuestions,
  type JumpKey,
  type JumpQuestion,
  jumpQuestions,
  type ListedDecision,
  listDecisions,
} from '../store/reading-decision.ts';
import type { Tx } from '../store/tx.ts';
import { mustFindGateway } from './must-find.ts';

export type OpenQuestion =
  | { kind: 'conflict'; question: ConflictQuestion }
  | { kind: 'jump'; question: JumpQuestion };

/** Conflicts come before jumps; within each by stream or line, and number. */
export type QuestionKey = [kind: number, a: number, b: number, c: number, d: number];

export function keyOfQuestion(open: OpenQuestion): QuestionKey {
  if (open.kind === 'conflict') {
    const { streamId, seq, atMs, raw } = open.question;
    return [0, streamId, seq, atMs, raw];
  }
  const { lineId, ordinal, seq } = open.question;
  return [1, lineId, ordinal, seq, 0];
}

/** What of a gateway's readings waits for a person. @throws Problem not_found */
export async function readOpenQuestions(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  after: QuestionKey | null,
  limit: number,
): Promise<OpenQuestion[]> {
  await mustFindGateway(tx, fleetId, gatewayId);
  const [kind, ...rest] = after ?? [0, -1, -1, 0, 0];
  const found: OpenQuestion[] = [];
  if (kind === 0) {
    const key: ConflictKey = rest;
    for (const question of await conflictQuestions(tx, fleetId, gatewayId, key, limit)) {
      found.push({ kind: 'conflict', question });
    }
  }
  if (found.length === limit) return found;
  const [lineId, ordinal, seq] = rest;
  const key: JumpKey = kind === 0 ? [-1, -1, -1] : [lineId, ordinal, seq];
  const left = limit - found.length;
  for (const question of await jumpQuestions(tx, fleetId, gatewayId, key, left)) {
    found.push({ kind: 'jump', question });
  }
  return found;
}

/** What was decided on a gateway's readings. @throws Problem not_found */
export async function readDecisions(
  tx: Tx,
  fleetId: number,
  gatewayId: string,
  after: [decisionId: string] | null,
  limit: number,
): Promise<ListedDecision[]> {
  await mustFindGateway(tx, fleetId, gatewayId);
  return listDecisions(tx, fleetId, gatewayId, after, limit);
}
