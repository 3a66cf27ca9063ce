/** A pad of a slide. Invented figures. */
export const pad = (key: string, name: string, points: readonly string[], meter: string) => ({
  key,
  name,
  points,
  meters: [meter],
  unit: 'mm',
  quantity: 2,
  nominal: 12,
  tolerance: 0.2,
  near: 9,
  limit: 8,
  gauge: 'feeler gauge',
  gaugeError: 0.1,
  priorLife: { [meter]: 6000 },
});

/**
 * The thrust washers of a crossbar pivot: their gap grows as the crossbar swings under load, and
 * the tension bolts take it up until there is nothing left to take up. Invented figures.
 */
export const washers = {
  key: 'pivot_washer',
  name: 'Thrust washers of the crossbar pivot',
  points: ['pivot_washers'],
  meters: ['lift_cycles', 'pto_hours'],
  unit: 'mm',
  quantity: 2,
  nominal: 0.3,
  tolerance: 0.05,
  near: 1,
  limit: 1.2,
  gauge: 'feeler gauge',
  gaugeError: 0.05,
  priorLife: { lift_cycles: 5000 },
  takeUp: { points: ['tension_bolts'], perTurn: 1.5, mostTurns: 1.5 },
};
