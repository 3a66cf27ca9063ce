import { usualSymptoms } from '../shop/symptom.ts';
import { builtInMeter, grainsPerUnit } from '../usage/meter.ts';
import type { Fastener } from './fastener.ts';
import type { FunctionNeed } from './function-need.ts';
import type { Limit } from './point-limit.ts';
import { POINT_TAPS } from './point-tap.ts';
import type { LiftPosition, ServicePoint } from './service-point.ts';
import type { SymptomRule } from './symptom-rule.ts';
import type { TaskRule } from './task-rule.ts';
import type { TakeUp, WearPart } from './wear-part.ts';

/** What is said of one entry of a pattern, in words, so that two versions can be compared. */
export interface Said {
  /** The field of the document. */
  field: string;
  /** What it is called before a value; empty where the value speaks for itself. */
  label: string;
  value: string | null;
}

/** Several of a kind, of which one can come or go. */
export interface SaidList {
  field: string;
  label: string;
  values: string[];
  /** Their order says something, too. */
  ordered: boolean;
}

export interface Entry {
  key: string;
  name: string;
  said: Said[];
  lists: SaidList[];
}

const plain = (word: string) => word.replaceAll('_', ' ').replace('pto', 'PTO');
const yesNo = (flag: boolean) => (flag ? 'yes' : 'no');
const share = (thousandths: number) => `${thousandths / 10} %`;
const figure = (thousandths: number | undefined, unit: string) =>
  thousandths === undefined ? null : `${thousandths / 1000} ${unit}`;

const inUnits = (meter: string, grains: number) =>
  `${grains / grainsPerUnit[builtInMeter(meter)?.dimension ?? 'cycles']} ${plain(meter)}`;

const threadWords = {
  dry: 'thread dry',
  oiled: 'thread oiled',
  anti_seize: 'thread with anti-seize',
  thread_locker: 'thread with compound',
} as const;

function positionWords({ blocked, ...axes }: LiftPosition): string | null {
  const parts = Object.entries(axes).map(([axis, value]) => `${axis} ${plain(value)}`);
  if (blocked !== undefined) parts.push(blocked ? 'on blocks' : 'not on blocks');
  return parts.length === 0 ? null : parts.join(', ');
}

function fastenerWords(f: Fastener | undefined): string | null {
  if (!f) return null;
  const parts = [`${f.count} ${plain(f.head)}`, f.nut ? 'with nuts' : 'without nuts'];
  if (f.threadLocker) parts.push(`compound of ${f.threadLocker} strength`);
  if (f.order !== 'any') parts.push(`tightened ${f.order}`);
  if (f.cleanRecess) parts.push('recesses cleaned first');
  return parts.join(', ');
}

function limitWords({ key, name, unit, leastThousandths, mostThousandths }: Limit): string {
  const least = figure(leastThousandths, unit);
  const most = figure(mostThousandths, unit);
  const edges = [least && `at least ${least}`, most && `at most ${most}`].filter(Boolean);
  return `${name} (${key}) ${edges.join(', ')}`;
}

export function pointWords(point: ServicePoint): Entry {
  const { quantity, torque } = point;
  const said: Said[] = [
    { field: 'quantity', label: '', value: figure(quantity?.thousandths, quantity?.unit ?? '') },
    {
      field: 'torque',
      label: '',
      value: torque ? `${torque.milliNm / 1000} Nm, ${threadWords[torque.thread]}` : null,
    },
    { field: 'kind', label: 'kind', value: plain(point.kind) },
    { field: 'side', label: 'side', value: point.side },
    { field: 'place', label: 'place', value: point.place },
    {
      field: 'liftPosition',
      label: 'lift position',
      value: positionWords(point.liftPosition),
    },
    { field: 'liftCritical', label: 'lift-critical', value: yesNo(point.liftCritical) },
    { field: 'oftenMissed', label: 'often missed', value: yesNo(point.oftenMissed) },
    { field: 'gloves', label: 'gloves', value: point.gloves ?? null },
    { field: 'lubricant', label: 'lubricant', value: point.lubricant ?? null },
    { field: 'lubricantCode', label: 'lubricant code', value: point.lubricantCode ?? null },
    { field: 'fastener', label: 'fastener', value: fastenerWords(point.fastener) },
    { field: 'tool', label: 'tool', value: point.tool ?? null },
    { field: 'fits', label: 'what fits', value: point.fits ?? null },
    { field: 'doneWhen', label: 'done when', value: point.doneWhen ?? null },
    { field: 'usualMistake', label: 'usual mistake', value: point.usualMistake ?? null },
  ];
  const list = (field: string, label: string, values: string[]) => ({
    field,
    label,
    values,
    ordered: false,
  });
  return {
    key: point.key,
    name: point.name,
    said,
    lists: [
      list('serves', 'function', point.serves.map(plain)),
      { ...list('cautions', 'caution', point.cautions), ordered: true },
      {
        ...list(
          'taps',
          'tap',
          point.taps.map((tap) => `"${POINT_TAPS[tap].words}"`),
        ),
        ordered: true,
      },
      { ...list('limits', 'limit', point.limits.map(limitWords)), ordered: true },
    ],
  };
}

function everyWords({ meters, calendar }: TaskRule): string {
  const parts = meters.map(({ meter, grains }) => inUnits(meter, grains));
  if (calendar && 'days' in calendar) parts.push(`${calendar.days} days`);
  if (calendar && 'months' in calendar) parts.push(`${calendar.months} months`);
  return parts.join(' or ');
}

/** A task's own cautions are those that none of its points has. */
export function taskWords(
  task: TaskRule,
  points: ReadonlyMap<string, Pick<ServicePoint, 'cautions'>>,
  names: (key: string) => string,
): Entry {
  const fromPoints = new Set(task.points.flatMap((key) => points.get(key)?.cautions ?? []));
  return {
    key: task.key,
    name: task.name,
    said: [
      { field: 'every', label: 'every', value: everyWords(task) },
      { field: 'opens', label: 'window opens at', value: share(task.opensThousandths) },
      { field: 'limit', label: 'limit at', value: share(task.limitThousandths) },
      { field: 'statutory', label: 'statutory', value: yesNo(task.statutory) },
      { field: 'overrunEffect', label: 'past its limit', value: task.overrunEffect },
      { field: 'mayExtend', label: 'who may extend', value: task.mayExtend },
      { field: 'work', label: 'work', value: task.work ?? 'as usual for each point' },
    ],
    lists: [
      {
        field: 'points',
        label: 'service point',
        values: task.points.map(names),
        ordered: true,
      },
      {
        field: 'functions',
        label: 'function',
        values: task.functions.map(plain),
        ordered: false,
      },
      {
        field: 'severity',
        label: 'severity',
        values: Object.entries(task.severity).map(([kind, by]) => `${plain(kind)} ${share(by)}`),
        ordered: false,
      },
      {
        field: 'cautions',
        label: 'caution',
        values: task.cautions.filter((words) => !fromPoints.has(words)),
        ordered: true,
      },
    ],
  };
}

function takeUpWords(takeUp: TakeUp | undefined, names: (key: string) => string): string | null {
  if (!takeUp) return null;
  const parts = [`at ${takeUp.points.map(names).join(', ')}`];
  const { perTurnThousandths: perTurn, mostTurnsThousandths: most } = takeUp;
  if (perTurn !== undefined) parts.push(`${perTurn / 1000} a turn`);
  if (most !== undefined) parts.push(`at most ${most / 1000} turns`);
  return parts.join(', ');
}

export function wearWords(part: WearPart, names: (key: string) => string): Entry {
  const lives = part.priorLife.map(({ meter, grains }) => inUnits(meter, grains));
  return {
    key: part.key,
    name: part.name,
    said: [
      { field: 'nominal', label: 'new', value: figure(part.nominalThousandths, part.unit) },
      {
        field: 'tolerance',
        label: 'tolerance',
        value: figure(part.toleranceThousandths, part.unit),
      },
      { field: 'near', label: 'near its limit', value: figure(part.nearThousandths, part.unit) },
      { field: 'limit', label: 'limit', value: figure(part.limitThousandths, part.unit) },
      { field: 'unit', label: 'unit', value: part.unit },
      { field: 'grows', label: 'grows with wear', value: yesNo(part.grows) },
      { field: 'quantity', label: 'changed together', value: String(part.quantity) },
      { field: 'gauge', label: 'gauge', value: part.gauge ?? null },
      {
        field: 'gaugeError',
        label: 'gauge error',
        value: figure(part.gaugeErrorThousandths, part.unit),
      },
      {
        field: 'priorLife',
        label: 'expected life',
        value: lives.length === 0 ? null : lives.join(' or '),
      },
      { field: 'takeUp', label: 'taken up', value: takeUpWords(part.takeUp, names) },
    ],
    lists: [
      {
        field: 'points',
        label: 'service point',
        values: part.points.map(names),
        ordered: true,
      },
      { field: 'meters', label: 'meter', values: part.meters.map(plain), ordered: true },
    ],
  };
}

/** Needs have no key: those of one function are told apart by their order. */
export function needWords(needs: readonly FunctionNeed[], names: (key: string) => string): Entry[] {
  const seen = new Map<string, number>();
  return needs.map((need) => {
    const place = (seen.get(need.function) ?? 0) + 1;
    seen.set(need.function, place);
    return {
      key: `${need.function}/${place}`,
      name: `What the function ${plain(need.function)} rests on`,
      said: [{ field: 'words', label: 'why', value: need.words }],
      lists: [
        {
          field: 'functions',
          label: 'function',
          values: need.functions.map(plain),
          ordered: false,
        },
        {
          field: 'points',
          label: 'service point',
          values: need.points.map(names),
          ordered: false,
        },
      ],
    };
  });
}

export function symptomWords(
  rule: SymptomRule,
  names: { point: (key: string) => string; task: (key: string) => string },
): Entry {
  const causes = rule.askFor.map(({ words, points }) =>
    points.length === 0 ? words : `${words} (${points.map(names.point).join(', ')})`,
  );
  return {
    key: rule.symptom,
    name: `"${usualSymptoms[rule.symptom].words}"`,
    said: [
      {
        field: 'stop',
        label: 'stop',
        value: rule.stop === null ? null : plain(rule.stop),
      },
    ],
    lists: [
      {
        field: 'functions',
        label: 'function taken away',
        values: rule.functions.map(plain),
        ordered: false,
      },
      {
        field: 'makesDue',
        label: 'task called due',
        values: rule.makesDue.map(names.task),
        ordered: false,
      },
      { field: 'askFor', label: 'likely cause', values: causes, ordered: true },
    ],
  };
}
