import type { FastifyInstance } from 'fastify';
import { sheetNames, sheets, templateOf } from '../../domain/import/sheet-columns.ts';
import type { ImportReport } from '../../flows/import/import-faults.ts';
import { importFleet, refuseFaulty } from '../../flows/import-fleet.ts';
import { WithoutEffect } from '../perform.ts';
import { getRoute, postRoute } from '../route.ts';
import type { RouteDeps } from '../route-deps.ts';
import { importBytesMost, importReport, importTemplate, newImport } from '../schemas/import.ts';

const show = (report: ImportReport, dryRun: boolean) => ({
  dryRun,
  applied: !dryRun,
  faultless: report.faultless,
  sheets: report.counts,
  errors: report.inOrder(),
  errorsOmitted: report.faultsOmitted,
  changes: report.changes,
  changesOmitted: report.changesOmitted,
  // Of a dry run they are keys of gateways that are not there.
  gatewayKeys: [],
});

export async function importRoutes(app: FastifyInstance, deps: RouteDeps): Promise<void> {
  postRoute(app, deps, {
    url: '/v1/imports',
    tag: 'fleet',
    summary: 'Bring in a fleet from sheets, all or nothing; with dryRun only say what would be',
    duty: 'keep_fleet',
    body: newImport,
    answer: importReport,
    status: 200,
    bodyLimit: importBytesMost,
    run: async (work, { dryRun, ...given }, req) => {
      const report = await importFleet(work, req.caller, given);
      const body = show(report, dryRun);
      if (dryRun) throw new WithoutEffect({ status: 200, body });
      refuseFaulty(report);
      return { body, once: { gatewayKeys: report.gatewayKeys } };
    },
  });
  getRoute(app, deps, {
    url: '/v1/imports/template',
    tag: 'fleet',
    summary: 'The sheets of an import: columns, what they mean, an example of each',
    duty: 'read',
    answer: importTemplate,
    read: async () => ({
      sheets: sheetNames.map((sheet) => ({
        sheet,
        about: sheets[sheet].about,
        csv: templateOf(sheet),
        columns: sheets[sheet].columns.map(({ name, required, example, about }) => ({
          name,
          required,
          example,
          about,
        })),
      })),
    }),
  });
}
