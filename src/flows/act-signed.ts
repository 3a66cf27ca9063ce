import { doneOnce } from './receipt.ts';
import {
  checkSignature,
  type Signature,
  type Signer,
  type SigningKey,
  type SignNeed,
  signerOf,
} from './sign.ts';
import { type FlowDeps, type Work, withWork } from './work.ts';

/** Something that a person signs, in one transaction and once. */
export interface SignedAct<T> extends SignNeed {
  /** What is done, such as `mutation beginJobCard`. */
  name: string;
  signature: Signature;
  /** The client's own name of it: sent again, it is done once. Null: each time anew. */
  requestId: string | null;
  /** What is asked for, without the signature. */
  input: unknown;
  run(work: Work, signer: Signer): Promise<T>;
}

/**
 * Checks the signature, then acts. A repeat gets what was answered first; that is kept, so it must
 * be JSON and hold no secret.
 *
 * @throws Problem as `checkSignature`, `signerOf` and `run` do; idempotency_key_reused
 */
export async function actSigned<T>(deps: FlowDeps, key: SigningKey, act: SignedAct<T>): Promise<T> {
  const checked = await checkSignature(deps, key, act.signature, act.fresh);
  return withWork(deps, key.fleetId, async (work) => {
    const run = async () => act.run(work, await signerOf(work, key.keyId, checked, act.need));
    if (act.requestId === null) return run();
    const same = { input: act.input, personId: checked.personId };
    const request = { client: key.keyId, key: act.requestId, route: act.name, same };
    const done = async () => ({ status: 200, body: await run() });
    return (await doneOnce(work, request, done)).answer.body;
  });
}
