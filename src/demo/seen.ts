/**
 * For every planted defect: what the service made of it, found in its verdicts, events and
 * lists.
 */
import type { Liftwright } from '../../openapi/client.ts';
import { serialOf } from './company.ts';
import { type Defect, defects, fastClockMs } from './defects.ts';
import type { PostedHistory } from './post-history.ts';
import {
  type BringInUnit,
  type ReadingVerdict,
  type ReadingVerdicts,
  readBringIn,
  readEvents,
  readVerdicts,
  type ServiceEvent,
} from './read-back.ts';
import type { Tally } from './send.ts';
import type { UnitHistory } from './unit-history.ts';

export interface Finding {
  readonly defect: Defect;
  readonly seen: boolean;
  /** What the service says, in words. */
  readonly words: string;
}

/** Everything about one unit that a finding may rest on. */
interface Evidence {
  readonly defect: Defect;
  readonly history: UnitHistory;
  readonly tally: Tally;
  readonly verdicts: readonly ReadingVerdict[];
  readonly conflicts: ReadingVerdicts['conflicts'];
  readonly listed: BringInUnit | undefined;
  /** Of the unit, its assets and its gateways. */
  readonly events: readonly ServiceEvent[];
}

type Looked = Omit<Finding, 'defect'>;

function byVerdict(
  { defect, verdicts }: Evidence,
  verdict: string,
  reason: string,
): ReadingVerdict[] {
  return verdicts.filter(
    (each) =>
      each.verdict === verdict &&
      each.reason === reason &&
      (defect.counters?.includes(each.counter) ?? true),
  );
}

/** As many verdicts as readings were spoilt. */
function asMany(evidence: Evidence, verdict: string, reason: string, planted: number): Looked {
  const readings = byVerdict(evidence, verdict, reason).reduce(
    (sum, { seq, lastSeq }) => sum + lastSeq - seq + 1,
    0,
  );
  const words = `${readings} of ${planted} readings with the verdict ${verdict}`;
  return { seen: planted > 0 && readings === planted, words };
}

function atLeastOne(evidence: Evidence, verdict: string, reason: string, wanted = 1): Looked {
  const found = byVerdict(evidence, verdict, reason);
  const first = found[0];
  const counters = [...new Set(found.map(({ counter }) => counter))].join(', ');
  const words = first ? `verdict ${verdict} (${reason}) on ${counters}` : `no verdict ${verdict}`;
  return { seen: found.length >= wanted, words };
}

function byEvents({ events }: Evidence, types: readonly string[], words: string): Looked {
  const counts = types.map((type) => events.filter((event) => event.type === type).length);
  const told = types.map((type, i) => `${type} ×${counts[i]}`).join(', ');
  return { seen: counts.every((count) => count > 0), words: `${words}: ${told}` };
}

function lookAtClock(evidence: Evidence): Looked {
  const facts = evidence.events.filter(({ type }) => type === 'gateway.clock_fast');
  const right = evidence.events.some(({ type }) => type === 'gateway.clock_right');
  const seen = facts.length === 1 && facts[0]!.data.offsetMs === fastClockMs && right;
  const placed = byVerdict(evidence, 'clock_suspect', 'fast_clock').length;
  const minutes = Number(facts[0]?.data.offsetMs ?? 0) / 60_000;
  const words = `fast by ${minutes} min, later right; ${placed} stretches put in their place`;
  return { seen: seen && placed > 0, words };
}

function lookAtList({ listed, defect }: Evidence): Looked {
  const statutory = defect.kind === 'statutory_overrun';
  const wanted = statutory ? 'overrun' : 'unknown';
  const reason = statutory
    ? listed?.reasons.find(({ task }) => task === 'yearly_inspection')
    : listed?.reasons.find(({ status }) => status === 'unknown');
  const words = `${listed?.status ?? 'not listed'}: ${reason?.text ?? 'no reason'}`;
  return { seen: reason?.status === wanted, words };
}

function look(evidence: Evidence): Looked {
  const { defect, history, tally, conflicts } = evidence;
  switch (defect.kind) {
    case 'duplicates':
      return {
        seen: tally.duplicates > 0,
        words: `${tally.duplicates} readings answered as duplicates`,
      };
    case 'shuffled':
      return {
        seen: tally.gaps > 0 && history.device.waiting().length === 0,
        words: `${tally.gaps} answers named missing numbers; all are settled now`,
      };
    case 'offline_week':
      return byEvents(evidence, ['usage.closed_days_changed'], 'days that were over changed');
    case 'controller_replaced':
      return atLeastOne(evidence, 'baseline', 'declared', defect.counters?.length);
    case 'rollover':
      return atLeastOne(evidence, 'rollover', 'by_value');
    case 'reset':
      return atLeastOne(evidence, 'reset', 'by_value');
    case 'jitter':
      return asMany(evidence, 'jitter', 'by_value', history.planted.jitter);
    case 'spike':
      return asMany(evidence, 'spike', 'not_borne_out', history.planted.spike);
    case 'conflict': {
      const planted = history.planted.conflict;
      const words = `${conflicts.length} of ${planted} numbers wait for a person`;
      return { seen: planted > 0 && conflicts.length === planted, words };
    }
    case 'fast_clock':
      return lookAtClock(evidence);
    case 'lift_moved':
      return byEvents(evidence, ['install.moved'], 'use goes with the lift');
    case 'gateway_swapped':
      return atLeastOne(evidence, 'carried', 'declared');
    case 'silent':
    case 'never_stated':
    case 'statutory_overrun':
      return lookAtList(evidence);
  }
}

/** Looks for every planted defect. */
export async function findDefects(
  api: Liftwright,
  key: string,
  posted: PostedHistory,
): Promise<Finding[]> {
  const list = await readBringIn(api, key);
  const events = await readEvents(api, key);
  const { directory } = posted;
  const found: Finding[] = [];
  for (const defect of defects) {
    const { unit } = defect;
    const gateways = directory.everyGateway.filter((each) => each.unit === unit);
    const read = await Promise.all(
      gateways.map(({ gatewayId }) => readVerdicts(api, key, gatewayId)),
    );
    const subjects = new Set([
      `unit/${directory.units.get(unit)}`,
      ...(['lift', 'chassis'] as const).map(
        (kind) => `asset/${directory.assets.get(serialOf(unit, kind))}`,
      ),
      ...gateways.map(({ gatewayId }) => `gateway/${gatewayId}`),
    ]);
    const evidence: Evidence = {
      defect,
      history: posted.units.find((history) => history.unit.number === unit)!,
      tally: posted.senders.get(unit)!.tally,
      verdicts: read.flatMap(({ items }) => items),
      conflicts: read.flatMap((each) => each.conflicts),
      listed: list.find(({ number }) => number === unit),
      events: events.filter(({ subject }) => subjects.has(subject)),
    };
    found.push({ defect, ...look(evidence) });
  }
  return found;
}
