import { type Period, sharedPeriod } from '../domain/usage/link-sources.ts';
import { Problem } from '../errors.ts';
import { countersOfLines } from '../store/counter.ts';
import { listChoices, type SourceChoiceRow } from '../store/meter-source.ts';
import type { Tx } from '../store/tx.ts';
import { type AssetSources, workOutSources } from './link-meter-sources.ts';
import { lineUseBetween } from './look-up-use.ts';
import { mustFindAsset } from './must-find.ts';

const dayMs = 86_400_000;
const daysDefault = 30;
const daysMost = 92;
const choicesMost = 200;
/** Lines are folded again for these figures: the first so many are worked out. */
const figuresMost = 40;

/** What a line is, as people know it. */
export interface NamedSource {
  byHand: boolean;
  controller: string | null;
  counters: { gatewayId: string; counter: string }[];
}

/** Another line that could have counted, beside the one that did, in the same time. */
export interface CrossCheck {
  source: NamedSource;
  fromMs: number;
  toMs: number;
  /** Grains; null: too many to work out at once. */
  use: number | null;
  countedUse: number | null;
}

export interface CountingPeriod {
  meter: string;
  source: NamedSource;
  choiceId: string | null;
  fromMs: number;
  /** Null: still. */
  toMs: number | null;
  others: CrossCheck[];
}

export interface ShownSources {
  assetId: string;
  fromMs: number;
  toMs: number;
  periods: CountingPeriod[];
  choices: (SourceChoiceRow & { source: NamedSource })[];
}

function boundPeriod(
  range: { fromMs?: number | undefined; toMs?: number | undefined },
  nowMs: number,
): { fromMs: number; toMs: number } {
  const toMs = range.toMs ?? nowMs;
  const fromMs = range.fromMs ?? toMs - daysDefault * dayMs;
  if (fromMs >= toMs || toMs - fromMs > daysMost * dayMs) {
    throw new Problem('query_invalid', `from must be before to, by at most ${daysMost} days.`);
  }
  return { fromMs, toMs };
}

/** Names lines by their counters. */
async function namesOf(
  tx: Tx,
  fleetId: number,
  lineIds: readonly number[],
): Promise<(lineId: number) => NamedSource> {
  const counters = await countersOfLines(tx, fleetId, [...new Set(lineIds)]);
  return (lineId) => {
    const own = counters.filter(({ line }) => line.lineId === lineId);
    return {
      byHand: own.length === 0,
      controller: own[0]?.line.controller ?? null,
      counters: own.slice(0, 20).map(({ gatewayId, name }) => ({ gatewayId, counter: name })),
    };
  };
}

/** A choice with what was chosen in words of the fleet. */
export async function nameChoice(
  { tx, fleetId }: { tx: Tx; fleetId: number },
  row: SourceChoiceRow,
): Promise<SourceChoiceRow & { source: NamedSource }> {
  const nameOf = await namesOf(tx, fleetId, [row.lineId]);
  return { ...row, source: nameOf(row.lineId) };
}

/** Works out what lines counted, each figure once and a bounded number of them. */
class UseFigures {
  readonly #tx: Tx;
  readonly #fleetId: number;
  readonly #known = new Map<string, number>();

  constructor(tx: Tx, fleetId: number) {
    this.#tx = tx;
    this.#fleetId = fleetId;
  }

  async of(lineId: number, fromMs: number, toMs: number): Promise<number | null> {
    const key = `${lineId} ${fromMs} ${toMs}`;
    const known = this.#known.get(key);
    if (known !== undefined) return known;
    if (this.#known.size >= figuresMost) return null;
    const use = await lineUseBetween(this.#tx, this.#fleetId, lineId, fromMs, toMs);
    this.#known.set(key, use);
    return use;
  }
}

async function showPeriods(
  figures: UseFigures,
  nameOf: (lineId: number) => NamedSource,
  { sources, candidates }: AssetSources,
  asked: { fromMs: number; toMs: number; meter: string | undefined },
): Promise<CountingPeriod[]> {
  const shown: CountingPeriod[] = [];
  for (const { meter, lineId, choiceId, ...period } of sources) {
    const here = sharedPeriod(period, asked);
    if (!here || (asked.meter !== undefined && asked.meter !== meter)) continue;
    const others: CrossCheck[] = [];
    for (const other of candidates) {
      if (other.meter !== meter || other.lineId === lineId) continue;
      const together: Period | null = sharedPeriod(other, here);
      if (!together) continue;
      const { fromMs } = together;
      const toMs = together.toMs ?? asked.toMs;
      const use = await figures.of(other.lineId, fromMs, toMs);
      const countedUse = await figures.of(lineId, fromMs, toMs);
      others.push({ source: nameOf(other.lineId), fromMs, toMs, use, countedUse });
    }
    const { fromMs, toMs } = period;
    shown.push({ meter, source: nameOf(lineId), choiceId, fromMs, toMs, others });
  }
  return shown;
}

/**
 * What counted for the meters of an asset in a time, by the rule or by choice; what the others that
 * could have counted say of the same time; and what people chose.
 *
 * @throws Problem not_found, query_invalid
 */
export async function readSources(
  tx: Tx,
  fleetId: number,
  assetId: string,
  range: { fromMs?: number | undefined; toMs?: number | undefined; meter?: string | undefined },
  nowMs: number,
): Promise<ShownSources> {
  await mustFindAsset(tx, fleetId, assetId, nowMs);
  const asked = { ...boundPeriod(range, nowMs), meter: range.meter };
  const [found] = await workOutSources(tx, fleetId, [assetId]);
  const choices = await listChoices(tx, fleetId, assetId, choicesMost);
  const candidates = found?.candidates ?? [];
  const lineIds = [...candidates, ...choices].map(({ lineId }) => lineId);
  const nameOf = await namesOf(tx, fleetId, lineIds);
  const figures = new UseFigures(tx, fleetId);
  const periods = found ? await showPeriods(figures, nameOf, found, asked) : [];
  const { fromMs, toMs } = asked;
  const named = choices
    .filter(({ meter }) => range.meter === undefined || range.meter === meter)
    .map((row) => ({ ...row, source: nameOf(row.lineId) }));
  return { assetId, fromMs, toMs, periods, choices: named };
}
