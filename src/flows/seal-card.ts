import { createHash } from 'node:crypto';
import type { WholeCard } from './show-job-card.ts';

/**
 * Digest over everything of a card as it was when it was signed off: the card, its steps, what was
 * said of them in time, and who signed. What is read back later must give the same.
 */
export function sealOf({ row, steps, commands, signatures }: WholeCard): Buffer {
  const { state: _state, closedAtMs: _closed, seal: _seal, ...card } = row;
  const said = commands.filter(({ late }) => !late);
  const text = JSON.stringify({ card, steps, said, signatures });
  return createHash('sha256').update(text).digest();
}
