/**
 * Who does something: a person when one signed, else only the key is known. `name` is the person's,
 * or the key's.
 */
export interface Actor {
  personId: string | null;
  keyId: string;
  name: string;
}

/** A person who signed, and what they may do today. */
export interface SignedActor extends Actor {
  personId: string;
  competences: readonly string[];
}
