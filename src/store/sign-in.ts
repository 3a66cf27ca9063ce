import { and, asc, eq, gt, sql } from 'drizzle-orm';
import { pinTry, signIn } from '../../db/schema/index.ts';
import { noTries, type PinTries, type TriesKind } from '../domain/access/pin-try.ts';
import { builder, type Tx } from './tx.ts';

export type SignInRow = typeof signIn.$inferSelect;

/** Begins a sign-in; takes the place of one that the person had with the same key. */
export async function putSignIn(tx: Tx, row: SignInRow): Promise<void> {
  const { signInId, tokenSha256, beganAtMs, endsAtMs } = row;
  await builder(tx)
    .insert(signIn)
    .values(row)
    .onConflictDoUpdate({
      target: [signIn.fleetId, signIn.keyId, signIn.personId],
      set: { signInId, tokenSha256, beganAtMs, endsAtMs },
    });
}

export async function findSignIn(
  tx: Tx,
  fleetId: number,
  keyId: string,
  tokenSha256: Buffer,
): Promise<SignInRow | null> {
  const rows = await builder(tx)
    .select()
    .from(signIn)
    .where(
      and(
        eq(signIn.fleetId, fleetId),
        eq(signIn.tokenSha256, tokenSha256),
        eq(signIn.keyId, keyId),
      ),
    );
  return rows[0] ?? null;
}

/** Sign-ins of a person that hold at an instant, with whatever key. */
export async function listSignIns(
  tx: Tx,
  fleetId: number,
  personId: string,
  atMs: number,
  after: [signInId: string] | null,
  limit: number,
): Promise<Omit<SignInRow, 'tokenSha256'>[]> {
  const { tokenSha256: _, ...columns } = {
    fleetId: signIn.fleetId,
    keyId: signIn.keyId,
    personId: signIn.personId,
    signInId: signIn.signInId,
    tokenSha256: signIn.tokenSha256,
    beganAtMs: signIn.beganAtMs,
    endsAtMs: signIn.endsAtMs,
  };
  return builder(tx)
    .select(columns)
    .from(signIn)
    .where(
      and(
        eq(signIn.fleetId, fleetId),
        eq(signIn.personId, personId),
        sql`${signIn.endsAtMs} > to_timestamp(${atMs}::float8 / 1000)`,
        after ? gt(signIn.signInId, after[0]) : undefined,
      ),
    )
    .orderBy(asc(signIn.signInId))
    .limit(limit);
}

/** Ends sign-ins of a person: one, or all. Answers how many there were. */
export async function endSignIns(
  tx: Tx,
  fleetId: number,
  personId: string,
  signInId: string | null,
): Promise<number> {
  const { rowCount } = await builder(tx)
    .delete(signIn)
    .where(
      and(
        eq(signIn.fleetId, fleetId),
        eq(signIn.personId, personId),
        signInId === null ? undefined : eq(signIn.signInId, signInId),
      ),
    );
  return rowCount ?? 0;
}

/** The wrong PINs so far, locked until the transaction ends; a row is made when there is none. */
export async function lockTries(
  tx: Tx,
  fleetId: number,
  kind: TriesKind,
  id: string,
  nowMs: number,
): Promise<PinTries> {
  const { inRow, dayBeganAtMs, dayWrong, lockedUntilMs } = pinTry;
  await builder(tx)
    .insert(pinTry)
    .values({ fleetId, kind, id, ...noTries(nowMs) })
    .onConflictDoNothing();
  const rows = await builder(tx)
    .select({ inRow, dayBeganAtMs, dayWrong, lockedUntilMs })
    .from(pinTry)
    .where(and(eq(pinTry.fleetId, fleetId), eq(pinTry.kind, kind), eq(pinTry.id, id)))
    .for('update');
  return rows[0] as PinTries;
}

export async function updateTries(
  tx: Tx,
  fleetId: number,
  kind: TriesKind,
  id: string,
  tries: PinTries,
): Promise<void> {
  await builder(tx)
    .update(pinTry)
    .set(tries)
    .where(and(eq(pinTry.fleetId, fleetId), eq(pinTry.kind, kind), eq(pinTry.id, id)));
}
