/** Reads the `.counter` fixtures; their grammar is in tests/fixtures/fold/README.md. */
import {
  type DecidedJump,
  defaultJitterSteps,
  earliestReadingMs,
  type FoldRules,
  positionKey,
} from '../../../src/domain/usage/fold-rules.ts';
import {
  builtInMeter,
  minMsPerTick,
  parseGrains,
  parseResolution,
} from '../../../src/domain/usage/meter.ts';
import { type Run, type StreamCause, streamCauses } from '../../../src/domain/usage/run.ts';
import { type FoldVerdict, foldVerdicts } from '../../../src/domain/usage/verdict.ts';

export interface FixtureReading {
  /** One reading, as a run of its own. */
  readonly run: Run;
  readonly line: number;
  readonly grains: number;
  readonly verdicts: readonly FoldVerdict[];
}

export interface CounterFixture {
  readonly rules: FoldRules;
  readonly timeZone: string;
  readonly readings: readonly FixtureReading[];
  readonly total: number | null;
  readonly provisional: number;
  readonly days: ReadonlyMap<string, number>;
}

const unitMs: Readonly<Record<string, number>> = { s: 1000, m: 60_000, h: 3_600_000 };

export function parseCounterFixture(text: string): CounterFixture {
  const reader = new FixtureReader();
  for (const [index, raw] of text.split('\n').entries()) {
    const line = raw.replace(/#.*/, '').trim();
    if (line === '') continue;
    try {
      reader.read(line, index + 1);
    } catch (error) {
      throw new Error(`line ${index + 1}: ${(error as Error).message}`);
    }
  }
  return reader.finish();
}

class FixtureReader {
  private readonly head = new Map<string, string>();
  private readonly readings: FixtureReading[] = [];
  private readonly days = new Map<string, number>();
  private readonly decided = new Map<string, DecidedJump>();
  private total: number | null = null;
  private provisional = 0;
  private date = '';
  private ordinal = 0;
  private seq = 0;
  private cause: StreamCause = 'first';

  read(line: string, number: number): void {
    const [word = '', ...rest] = line.split(/\s+/);
    const value = rest[0] ?? '';
    if (['meter', 'resolution', 'width', 'jitter', 'zone'].includes(word)) {
      this.head.set(word, value);
    } else if (word === 'on') this.date = value;
    else if (word === 'missing') this.seq += Number(value);
    else if (word === 'epoch') this.begin(value);
    else if (word === 'total') this.total = this.grains(value);
    else if (word === 'provisional') this.provisional = this.grains(value);
    else if (word === 'day') this.days.set(value, this.grains(rest[1] ?? ''));
    else this.reading(line, number);
  }

  private begin(cause: string): void {
    this.cause = streamCauses.find((each) => each === cause) ?? fail(`no such cause: ${cause}`);
    this.ordinal += 1;
    this.seq = 0;
  }

  private reading(line: string, number: number): void {
    const [left = '', expected = ''] = line.split('=>');
    const [time = '', value = '', ...options] = left.trim().split(/\s+/);
    const at = this.time(time);
    let receivedAtMs = at;
    let offsetMs = 0;
    let decided = '';
    for (let i = 0; i < options.length; i += 2) {
      const option = options[i + 1] ?? '';
      if (options[i] === 'received') receivedAtMs = this.time(option);
      else if (options[i] === 'offset') offsetMs = duration(option);
      else if (options[i] === 'decided') decided = option;
      else fail(`no such option: ${options[i]}`);
    }
    const grainsPerTick = this.grainsPerTick();
    const raw = this.grains(value) / grainsPerTick;
    if (!Number.isInteger(raw)) fail(`${value} is not a whole number of ticks`);
    if (decided !== '') {
      const position = { ordinal: this.ordinal, seq: this.seq };
      this.decided.set(positionKey(position), { raw, counts: decided === 'counts' });
    }
    const [grains, verdicts] = this.outcome(expected.trim());
    this.readings.push({
      run: {
        ordinal: this.ordinal,
        cause: this.cause,
        firstSeq: this.seq,
        at: [at],
        raw: [raw],
        receivedAtMs,
        offsetMs,
      },
      line: number,
      grains,
      verdicts,
    });
    this.seq += 1;
  }

  private outcome(text: string): [number, FoldVerdict[]] {
    const match = /^(0|\+[\d.]+) (.+)$/.exec(text) ?? fail('an outcome is missing after =>');
    const verdicts = match[2]!.split(/, later /).map((name) => {
      return foldVerdicts.find((each) => each === name) ?? fail(`no such verdict: ${name}`);
    });
    return [this.grains(match[1]!), verdicts];
  }

  private time(text: string): number {
    const full = text.includes('T') ? text : `${this.date}T${text}`;
    const ms = Date.parse(`${full}Z`);
    return Number.isNaN(ms) ? fail(`not a time: ${text}`) : ms;
  }

  private meter() {
    const name = this.head.get('meter') ?? '';
    return builtInMeter(name) ?? fail(`no such meter: ${name}`);
  }

  private grains(shown: string): number {
    return parseGrains(Number(shown), this.meter().dimension);
  }

  private grainsPerTick(): number {
    const parsed = parseResolution(Number(this.head.get('resolution')), this.meter().dimension);
    return parsed.ok ? parsed.grains : fail(parsed.reason);
  }

  finish(): CounterFixture {
    const grainsPerTick = this.grainsPerTick();
    return {
      rules: {
        grainsPerTick,
        minMsPerTick: minMsPerTick(this.meter(), grainsPerTick),
        widthBits: Number(this.head.get('width') ?? 32),
        jitterSteps: Number(this.head.get('jitter') ?? defaultJitterSteps),
        earliestMs: earliestReadingMs,
        decided: this.decided,
      },
      timeZone: this.head.get('zone') ?? 'UTC',
      readings: this.readings,
      total: this.total,
      provisional: this.provisional,
      days: this.days,
    };
  }
}

function duration(text: string): number {
  const match = /^(\d+)([smh])$/.exec(text) ?? fail(`not a duration: ${text}`);
  return Number(match[1]) * unitMs[match[2]!]!;
}

function fail(message: string): never {
  throw new Error(message);
}
