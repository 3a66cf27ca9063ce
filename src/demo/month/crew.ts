/** The people of the invented company: who signs for what, with PINs that only the demo knows. */
import type { Liftwright, NewCompetence } from '../../../openapi/client.ts';
import { weakness } from '../../domain/access/pin.ts';
import { instantText } from '../../domain/instant.ts';
import { createRandom } from '../random.ts';

export type MemberKey = 'lead' | 'tech' | 'checker' | 'trainee' | 'dispatch' | 'night' | 'day';

interface Member {
  readonly name: string;
  /** What the person may do, and what that rests on. */
  readonly may: readonly (Pick<NewCompetence, 'competence' | 'evidence'> & {
    passesNeeded?: number;
  })[];
}

/** All names are invented. */
const members: Readonly<Record<MemberKey, Member>> = {
  lead: {
    name: 'R. Okafor',
    may: [
      { competence: 'lead', evidence: 'runs the shop since the company began' },
      { competence: 'lift_work', evidence: 'twelve years on wheel lifts' },
      { competence: 'lift_check', evidence: 'twelve years on wheel lifts' },
    ],
  },
  tech: {
    name: 'M. Lindqvist',
    may: [{ competence: 'lift_work', evidence: 'course of the equipment maker, six years here' }],
  },
  checker: {
    name: 'T. Abara',
    may: [
      { competence: 'lift_work', evidence: 'course of the equipment maker, nine years here' },
      { competence: 'lift_check', evidence: 'named by R. Okafor' },
    ],
  },
  trainee: {
    name: 'J. Varga',
    may: [{ competence: 'lift_work', evidence: 'began in the shop this autumn', passesNeeded: 2 }],
  },
  dispatch: {
    name: 'S. Delacroix',
    may: [{ competence: 'dispatch', evidence: 'night desk' }],
  },
  night: { name: 'P. Nakai', may: [{ competence: 'driving', evidence: 'licence seen' }] },
  day: { name: 'D. Moreno', may: [{ competence: 'driving', evidence: 'licence seen' }] },
};

/** The keys that people work through; a key is not a person. */
export interface Phones {
  readonly shop: string;
  readonly desk: string;
  readonly lead: string;
}

const signInMs = 12 * 3_600_000;

/** Who is here, and how each signs. */
export class Crew {
  readonly phones: Phones;
  readonly #api: Liftwright;
  readonly #nowMs: () => number;
  readonly #people: ReadonlyMap<MemberKey, { personId: string; pin: string }>;
  readonly #signIns = new Map<string, { token: string; untilMs: number }>();

  constructor(
    api: Liftwright,
    nowMs: () => number,
    phones: Phones,
    people: ReadonlyMap<MemberKey, { personId: string; pin: string }>,
  ) {
    this.#api = api;
    this.#nowMs = nowMs;
    this.phones = phones;
    this.#people = people;
  }

  id(member: MemberKey): string {
    return this.#known(member).personId;
  }

  nameOf(member: MemberKey): string {
    return members[member].name;
  }

  /** The PIN itself, for what changes what a unit may do. */
  pin(member: MemberKey): { personId: string; pin: string } {
    return this.#known(member);
  }

  /** A sign-in on the shop's phone, which lasts a shift. */
  async signIn(member: MemberKey, phone: keyof Phones = 'shop'): Promise<{ signIn: string }> {
    const name = `${member} ${phone}`;
    const known = this.#signIns.get(name);
    if (known && known.untilMs > this.#nowMs()) return { signIn: known.token };
    const { personId, pin } = this.#known(member);
    const body = { pin, minutes: signInMs / 60_000 };
    const key = this.phones[phone];
    const { token } = await this.#api.postPersonSignIns(personId, body, { key });
    this.#signIns.set(name, { token, untilMs: this.#nowMs() + signInMs });
    return { signIn: token };
  }

  #known(member: MemberKey): { personId: string; pin: string } {
    const found = this.#people.get(member);
    if (!found) throw new RangeError(`nobody is hired as ${member}`);
    return found;
  }
}

function pinOf(seed: string, member: MemberKey): string {
  const random = createRandom(`${seed}/pin/${member}`);
  for (;;) {
    const pin = String(random.int(1000, 9999));
    if (weakness(pin) === null) return pin;
  }
}

/**
 * Takes everybody in, with PINs and competences. Setting a PIN takes a while by design, so this
 * goes on beside whatever else is done.
 */
export async function hireCrew(
  api: Liftwright,
  adminKey: string,
  options: { seed: string; nowMs: () => number; sinceMs: number },
): Promise<Crew> {
  const key = adminKey;
  const phoneOf = async (role: 'technician' | 'dispatcher' | 'lead', name: string) =>
    (await api.postKeys({ role, name }, { key })).key ?? '';
  const phones: Phones = {
    shop: await phoneOf('technician', 'Phone of the shop'),
    desk: await phoneOf('dispatcher', 'Night desk'),
    lead: await phoneOf('lead', 'Phone of the lead'),
  };
  const people = new Map<MemberKey, { personId: string; pin: string }>();
  const from = instantText(options.sinceMs);
  for (const member of Object.keys(members) as MemberKey[]) {
    const { name, may } = members[member];
    const { personId } = await api.postPeople({ name }, { key });
    const pin = pinOf(options.seed, member);
    await api.postPersonPin(personId, { newPin: pin }, { key });
    for (const each of may) await api.postPersonCompetences(personId, { ...each, from }, { key });
    people.set(member, { personId, pin });
  }
  return new Crew(api, options.nowMs, phones, people);
}
