/** What the desk does: a restriction, an inspector's order told on, visits agreed. */
import { instantText } from '../../domain/instant.ts';
import type { Act, Stage } from './stage.ts';

/** Dispatch keeps a unit to light cars while its second set of straps is away. */
function restriction(stage: Stage): Act[] {
  const { api, crew } = stage;
  const unit = '38';
  return [
    {
      atMs: stage.at(unit, 2, '11:00'),
      run: async () => {
        await stage.ask(unit);
        const body = {
          kind: 'restriction' as const,
          functions: ['wheel_lift' as const],
          effect: 'limited' as const,
          limits: { loadKg: 1400, words: ['No all-wheel drive: the second strap set is away.'] },
          reason: 'One strap set is at the harbour until tomorrow.',
          until: instantText(stage.parts.window.endMs + 20 * 3_600_000),
          signature: crew.pin('dispatch'),
        };
        await api.postUnitStops(stage.unitId(unit), body, { key: crew.phones.desk });
        await stage.ask(unit);
      },
    },
  ];
}

/** An inspector at the roadside orders a unit off the road. */
function officer(stage: Stage): Act[] {
  const { api, crew } = stage;
  const unit = '35';
  return [
    {
      atMs: stage.at(unit, 1, '15:45'),
      run: async () => {
        const body = {
          kind: 'officer' as const,
          functions: ['road' as const],
          reason: 'Roadside inspection: tire with cord showing, rear left outside.',
        };
        await api.postUnitStops(stage.unitId(unit), body, { key: crew.phones.desk });
        await stage.ask(unit);
      },
    },
  ];
}

/** What is agreed for the days to come. */
function visits(stage: Stage): Act[] {
  const { api, crew } = stage;
  const agreed: readonly [unit: string, bay: string][] = [
    ['18', 'Bay 1'],
    ['37', 'Bay 2'],
  ];
  return agreed.map(([unit, bay]) => ({
    atMs: stage.at(unit, 1, '19:00'),
    run: async () => {
      const [from, to] = [stage.at(unit, -2, '08:00'), stage.at(unit, -2, '15:00')];
      const body = {
        unitId: stage.unitId(unit),
        yardId: stage.yardId(unit),
        bay,
        from: instantText(from),
        to: instantText(to),
        canSpareFrom: instantText(from),
        backBy: instantText(to + 2 * 3_600_000),
        agreedBy: crew.nameOf('dispatch'),
      };
      await api.postVisits(body, { key: crew.phones.lead });
    },
  }));
}

export const deskScenes = (stage: Stage): Act[] => [
  ...restriction(stage),
  ...officer(stage),
  ...visits(stage),
];
