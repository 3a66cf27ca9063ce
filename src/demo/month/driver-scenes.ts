/** What drivers do besides: they walk round their units, and tell when something hit one. */
import type { Act, Stage } from './stage.ts';

/** A driver walks round each morning; one morning a light is out. */
function walkRounds(stage: Stage): Act[] {
  const { api, crew } = stage;
  const unit = '18';
  const desk = { key: crew.phones.desk };
  const unitId = () => stage.unitId(unit);
  const walk = (
    days: number,
    member: 'day' | 'night',
    defects: { item: 'lighting'; words: string; affectsSafety: boolean }[],
  ) => ({
    atMs: stage.at(unit, days, '06:10'),
    run: async () => {
      const signature = await crew.signIn(member, 'desk');
      await api.postUnitWalkRounds(unitId(), { shift: 'before', defects, signature }, desk);
    },
  });
  const lamp = [
    { item: 'lighting' as const, words: 'Rear left marker is out.', affectsSafety: true },
  ];
  return [
    walk(5, 'day', []),
    walk(4, 'day', lamp),
    {
      atMs: stage.at(unit, 4, '07:20'),
      run: async () => {
        const { items } = await api.getUnitWalkRounds(unitId(), {}, desk);
        const open = items.find(({ waitsFor }) => waitsFor === 'certification');
        if (!open) throw new Error('the defect of the walk-round is not to be seen');
        const words = 'New lamp; both sides tried.';
        const signature = crew.pin('lead');
        const certified = { how: 'repaired' as const, words, signature };
        const lead = { key: crew.phones.lead };
        await api.postUnitWalkRoundCertify(unitId(), open.walkRoundId, certified, lead);
      },
    },
    {
      atMs: stage.at(unit, 3, '06:05'),
      run: async () => {
        const { items } = await api.getUnitWalkRounds(unitId(), {}, desk);
        const open = items.find(({ waitsFor }) => waitsFor === 'review');
        const signature = await crew.signIn('night', 'desk');
        if (open) {
          await api.postUnitWalkRoundReview(unitId(), open.walkRoundId, { signature }, desk);
        }
      },
    },
    walk(3, 'night', []),
  ];
}

/** Somebody backs into the lift: it stops at once, and everything has to be looked over. */
function collision(stage: Stage): Act[] {
  const { api, crew } = stage;
  const unit = '37';
  return [
    {
      atMs: stage.at(unit, 1, '18:20'),
      run: async () => {
        const words = 'A delivery van backed into the folded lift in the yard.';
        const body = { kind: 'collision' as const, loadOnHook: false, words };
        await api.postUnitIncidents(stage.unitId(unit), body, { key: crew.phones.desk });
        await stage.ask(unit);
      },
    },
  ];
}

export const driverScenes = (stage: Stage): Act[] => [...walkRounds(stage), ...collision(stage)];
