import type { Tx } from './tx.ts';

/** Marks a place that the transaction can go back to; the innermost is meant afterwards. */
export async function setSavepoint(tx: Tx): Promise<void> {
  await tx.query('savepoint apart');
}

export async function keepSince(tx: Tx): Promise<void> {
  await tx.query('release savepoint apart');
}

/** Takes back what was written since the mark; the transaction goes on. */
export async function takeBackSince(tx: Tx): Promise<void> {
  await tx.query('rollback to savepoint apart; release savepoint apart');
}
