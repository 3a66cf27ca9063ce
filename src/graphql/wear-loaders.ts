import { showMeasurement } from '../flows/show-measurement.ts';
import { showLife } from '../flows/show-part-life.ts';
import type { AssetOnUnit } from '../store/asset.ts';
import * as wear from '../store/wear-edges.ts';
import { asked, cut, type PageArgs } from './connection.ts';
import { asset, many } from './filling.ts';
import type { Measurement, PartLife } from './types/nodes.ts';

const partLivesOfAsset = many<AssetOnUnit, PageArgs>(
  (row) => row.assetId,
  async (ids, args, { tx, fleetId }) => {
    const { after, limit } = asked(args, ['id']);
    const found = await wear.partLivesOfAssets(tx, fleetId, ids, after, limit);
    return (id) => cut((found.get(id) ?? []).map(showLife), args, (row) => [row.lifeId]);
  },
);

const measurementsOfAsset = many<AssetOnUnit, PageArgs>(
  (row) => row.assetId,
  async (ids, args, { tx, fleetId }) => {
    const { after, limit } = asked(args, ['id']);
    const found = await wear.measurementsOfAssets(tx, fleetId, ids, after, limit);
    return (id) => {
      const rows = (found.get(id) ?? []).map((each) => {
        const { lifeId: _, ...shown } = showMeasurement({ ...each, lifeId: null });
        return shown;
      });
      return cut(rows, args, (row) => [row.measurementId]);
    };
  },
);

export const wearOfAsset = { partLives: partLivesOfAsset, measurements: measurementsOfAsset };
export const wearLoaders = {
  PartLife: { asset: asset<PartLife>((row) => row.assetId) },
  Measurement: { asset: asset<Measurement>((row) => row.assetId) },
};
