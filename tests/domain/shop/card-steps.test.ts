import { describe, expect, test } from 'vitest';
import {
  type CardAsset,
  type CardPattern,
  cardSteps,
  type Wanted,
  wantedOfTask,
} from '../../../src/domain/shop/card-steps.ts';
import { moveTo, positionText } from '../../../src/domain/shop/lift-move.ts';
import { stepWorks } from '../../../src/domain/shop/step-work.ts';
import { parseLiftPattern } from '../../../src/domain/upkeep/lift-pattern.ts';
import { builtInMeters } from '../../../src/domain/usage/meter.ts';

const at = (key: string, kind: string, more: object = {}) => ({
  key,
  kind,
  name: `Point ${key}`,
  side: 'left',
  place: 'By the boom',
  ...more,
});
const task = (key: string, ...points: string[]) => ({
  ...{ key, name: `Task ${key}`, points, every: { days: 30 } },
});

const parsed = parseLiftPattern(
  {
    name: 'A lift',
    assetKind: 'lift',
    servicePoints: [
      at('pin', 'pin', { cautions: ['Mind the pin.'] }),
      at('hose', 'hose'),
      at('bolt', 'fastener', {
        liftPosition: { reach: 'out', blocked: true },
        liftCritical: true,
        torque: { nm: 90, thread: 'thread_locker' },
        fits: '24 mm hex',
        fastener: { head: 'hex', threadLocker: 'medium' },
        gloves: 'wear',
      }),
      at('nut', 'fastener', {
        torque: { nm: 40, thread: 'dry' },
        fastener: { head: 'hex', count: 8, nut: true, cleanRecess: true, order: 'crosswise' },
      }),
      at('upper', 'grease_fitting', { liftPosition: { reach: 'in', fold: 'folded' } }),
      at('lower', 'grease_fitting', { liftPosition: { reach: 'in', fold: 'folded' } }),
      at('pad', 'wear_surface', { liftPosition: { reach: 'out' } }),
    ],
    tasks: [
      task('all', 'lower', 'upper', 'hose', 'bolt', 'pad', 'pin', 'nut'),
      task('grease', 'upper', 'lower'),
      { ...task('film', 'pad'), work: 'grease' },
      { ...task('papers'), cautions: ['Mind the traffic.'] },
    ],
    wearParts: [
      {
        ...{ key: 'pad', name: 'Pad', points: ['pad'], meters: ['reach_cycles'] },
        ...{ unit: 'mm', nominal: 12, limit: 8 },
      },
    ],
  },
  builtInMeters,
);
if (!parsed.ok) throw new Error(JSON.stringify(parsed.problems));
const pattern: CardPattern = parsed.pattern;
const asset = (wanted: readonly Wanted[], assetId = 'lift'): CardAsset => ({
  ...{ assetId, kind: 'lift' as const, pattern, wanted },
});
const stepsOf = (...tasks: string[]) =>
  cardSteps([asset(tasks.flatMap((key) => wantedOfTask(pattern, key)))], 'upkeep');
const brief = (steps: ReturnType<typeof cardSteps>) =>
  steps.map((step) => `${step.work} ${step.move ? positionText(step.move.to) : step.pointKey}`);

describe('the steps of a card', () => {
  test('looks first, hoses last, a move wherever the lift must stand otherwise', () => {
    expect(brief(stepsOf('all'))).toEqual([
      'first_look null',
      'look pin',
      'clean null',
      'look_again null',
      'move reach out',
      'measure pad',
      'move reach out, on blocks',
      'fasten bolt',
      'fasten nut',
      'move folded, reach in',
      'grease upper',
      'grease lower',
      'function_test null',
      'look_last hose',
      'wipe_and_look null',
    ]);
  });

  test('whatever is asked for, no group comes before one that goes ahead of it', () => {
    for (const step of [stepsOf('all'), stepsOf('grease'), stepsOf('papers', 'all')]) {
      const phases = step
        .filter(({ work }) => work !== 'move')
        .map(({ work }) => stepWorks.indexOf(work));
      expect(phases).toEqual([...phases].sort((a, b) => a - b));
      expect(step[0]?.work).toBe('first_look');
    }
  });

  test('before every step the lift stands as the step wants it', () => {
    let stands: Record<string, unknown> = {};
    for (const step of stepsOf('all')) {
      if (step.move) stands = { ...step.move.to };
      else
        for (const [axis, value] of Object.entries(step.position)) {
          expect(stands[axis], `${step.title}: ${axis}`).toBe(value);
        }
      if (step.work === 'function_test') stands = {};
    }
  });

  test('one piece of work for two tasks is one step of both', () => {
    const steps = stepsOf('all', 'grease').filter(({ work }) => work === 'grease');
    expect(steps.map(({ pointKey, tasks }) => [pointKey, tasks])).toEqual([
      ['upper', ['all', 'grease']],
      ['lower', ['all', 'grease']],
    ]);
  });

  test('every step carries cautions: what always holds, the task’s and the point’s', () => {
    for (const step of stepsOf('all', 'papers')) {
      expect(step.cautions[0], step.title).toMatch(/maker's manual/);
    }
    const pin = stepsOf('all').find(({ pointKey }) => pointKey === 'pin');
    expect(pin?.cautions).toContain('Mind the pin.');
    const papers = stepsOf('papers').find(({ tasks }) => tasks.includes('papers'));
    expect(papers).toMatchObject({ work: 'look', title: 'Look: Task papers', pointKey: null });
    expect(papers?.cautions).toContain('Mind the traffic.');
  });

  test('a step carries what its point needs', () => {
    const bolt = stepsOf('all').find(({ pointKey }) => pointKey === 'bolt');
    expect(bolt).toMatchObject({
      title: 'Check the fastening: Point bolt',
      side: 'left',
      place: 'By the boom',
      fits: '24 mm hex',
      torque: { milliNm: 90_000, thread: 'thread_locker' },
      liftCritical: true,
    });
    expect(bolt?.how.join(' ')).toMatch(/unbroken mark is done/);
    const nut = stepsOf('all').find(({ pointKey }) => pointKey === 'nut');
    expect(nut?.how.join(' ')).toMatch(/recesses.*crosswise/);
    expect(nut?.taps).toContain('mark_moved');
    const pad = stepsOf('all').find(({ pointKey }) => pointKey === 'pad');
    expect(pad?.wearParts).toMatchObject([{ key: 'pad', limitThousandths: 8_000 }]);
  });

  test('the work is what the task says, else what is usual for the point', () => {
    const workOnPad = (key: string) =>
      stepsOf(key).find(({ pointKey }) => pointKey === 'pad')?.work;
    expect(workOnPad('film')).toBe('grease');
    expect(workOnPad('all')).toBe('measure');
  });

  test('looking at what holds the load needs no second person, working on it does', () => {
    const look = cardSteps([asset([{ pointKey: 'bolt', work: 'look', taskKey: null }])], 'symptom');
    expect(look.find(({ pointKey }) => pointKey === 'bolt')?.liftCritical).toBe(false);
  });

  test('only the first looks end a card, only what moves the lift needs the controls', () => {
    const steps = stepsOf('all');
    const works = (flag: 'endsCardIfUnfit' | 'needsControls') => [
      ...new Set(steps.filter((step) => step[flag]).map(({ work }) => work)),
    ];
    expect(works('endsCardIfUnfit')).toEqual(['first_look', 'look']);
    expect(works('needsControls')).toEqual(['move', 'function_test']);
  });

  test('who tries a lever moves the lift: somebody stands at the controls', () => {
    const lever = at('lever', 'control');
    const lamp = at('lamp', 'electrical');
    const read = parseLiftPattern(
      {
        ...{ name: 'A lift', assetKind: 'lift', servicePoints: [lever, lamp], wearParts: [] },
        tasks: [{ ...task('try', 'lever', 'lamp'), work: 'test' }],
      },
      builtInMeters,
    );
    if (!read.ok) throw new Error(JSON.stringify(read.problems));
    const wanted = wantedOfTask(read.pattern, 'try');
    const steps = cardSteps([{ ...asset(wanted), pattern: read.pattern }], 'upkeep');
    const tried = steps.filter(({ work }) => work === 'test');
    expect(tried.map((step) => [step.pointKey, step.needsControls])).toEqual([
      ['lever', true],
      ['lamp', false],
    ]);
    expect(tried[0]?.cautions.join(' ')).toMatch(/no hand in it while it moves/);
    expect(tried[0]?.cautions.join(' ')).not.toMatch(/PTO out/);
  });

  test('a card in the yard is short: the first look and what was asked', () => {
    const steps = cardSteps([asset(wantedOfTask(pattern, 'grease'))], 'yard');
    expect(brief(steps)).toEqual([
      'first_look null',
      'move folded, reach in',
      'grease upper',
      'grease lower',
    ]);
  });

  test('of two assets each stands for itself', () => {
    const wanted = wantedOfTask(pattern, 'grease');
    const steps = cardSteps([asset(wanted, 'a'), asset(wanted, 'b')], 'upkeep');
    expect(steps.filter(({ move }) => move).map(({ assetId }) => assetId)).toEqual(['a', 'b']);
    expect(steps.slice(0, 2).map(({ work, assetId }) => [work, assetId])).toEqual([
      ['first_look', 'a'],
      ['first_look', 'b'],
    ]);
  });

  test('nothing wanted is no card, and what the pattern does not have is nothing', () => {
    expect(cardSteps([asset([])], 'upkeep')).toEqual([]);
    expect(wantedOfTask(pattern, 'other')).toEqual([]);
    const other = { pointKey: 'other', work: 'look', taskKey: null } as const;
    expect(cardSteps([asset([other])], 'upkeep')).toEqual([]);
  });
});

describe('moves', () => {
  test.each([
    [{}, {}, null],
    [{ fold: 'folded' }, { fold: 'folded' }, null],
    [{ fold: 'folded' }, {}, null],
    [{}, { fold: 'folded' }, 'folded'],
    [{ reach: 'out' }, { fold: 'folded' }, 'folded, reach out'],
    [{ reach: 'out', blocked: true }, { reach: 'out' }, null],
    [{ reach: 'out' }, { reach: 'out', blocked: true }, 'reach out, on blocks'],
  ] as const)('from %j for %j: %j', (from, wanted, to) => {
    const move = moveTo(from, wanted);
    expect(move && positionText(move.to)).toBe(to);
  });

  test('blocks come out before anything moves, and go in again when they are wanted', () => {
    const blocked = { reach: 'out', blocked: true } as const;
    expect(moveTo(blocked, { reach: 'in' })).toEqual({
      ...{ from: blocked, to: { reach: 'in' }, blocksOut: true, blocksIn: false },
    });
    expect(moveTo(blocked, { reach: 'in', blocked: true })).toEqual({
      from: blocked,
      to: { reach: 'in', blocked: true },
      blocksOut: true,
      blocksIn: true,
    });
  });
});
