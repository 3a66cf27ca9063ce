import { builtInMeter, parseGrains } from '../domain/usage/meter.ts';
import { Problem } from '../errors.ts';

/** Figures by meter as grains. @throws Problem meter_unknown */
export function usesOf(figures: Readonly<Record<string, number>>): Record<string, number> {
  return Object.fromEntries(
    Object.entries(figures).map(([name, figure]) => {
      const meter = builtInMeter(name);
      if (!meter) throw new Problem('meter_unknown', `There is no meter "${name.slice(0, 40)}".`);
      return [name, parseGrains(figure, meter.dimension)];
    }),
  );
}
