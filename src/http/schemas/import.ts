import { z } from 'zod';
import { sheetNames } from '../../domain/import/sheet-columns.ts';
import { changesMost, faultsMost, importFaultCodes } from '../../flows/import/import-faults.ts';
import { rowsMost } from '../../flows/import/read-sheet.ts';

/** Bytes of one import at most. */
export const importBytesMost = 8 * 1024 * 1024;

const sheet = z
  .string()
  .max(importBytesMost)
  .optional()
  .meta({ description: `The sheet as CSV, its first row naming the columns; see /docs/import.` });
const sheetName = z.enum(sheetNames);

export const newImport = z
  .strictObject({
    dryRun: z.boolean().meta({
      description: 'true: do everything, report, and take it all back. Start with this.',
    }),
    yards: sheet,
    units: sheet,
    assets: sheet,
    gateways: sheet,
    installs: sheet,
    startingValues: sheet,
    lastDone: sheet,
  })
  .refine((body) => sheetNames.some((name) => body[name] !== undefined), 'names no sheet')
  .meta({ id: 'NewImport' });

const counts = z.object({
  rows: z.int(),
  create: z.int(),
  update: z.int(),
  unchanged: z.int(),
  faulty: z.int(),
});

export const importReport = z
  .object({
    dryRun: z.boolean(),
    applied: z.boolean().meta({ description: 'Whether anything was written for good.' }),
    faultless: z.boolean(),
    sheets: z.partialRecord(sheetName, counts),
    errors: z
      .array(
        z.object({
          sheet: sheetName,
          row: z.int().meta({ description: 'As a spreadsheet shows it; the header is row 1.' }),
          column: z.string().nullable(),
          code: z.enum(importFaultCodes),
          reason: z.string(),
          value: z.string().nullable(),
        }),
      )
      .max(faultsMost),
    errorsOmitted: z.int().meta({ description: `Faults beyond the first ${faultsMost}.` }),
    changes: z
      .array(
        z.object({
          sheet: sheetName,
          row: z.int(),
          column: z.string(),
          from: z.string().nullable(),
          to: z.string(),
        }),
      )
      .max(changesMost),
    changesOmitted: z.int(),
    gatewayKeys: z
      .array(z.object({ serial: z.string(), key: z.string() }))
      .max(rowsMost)
      .meta({ description: 'Keys of the gateways that were made; never shown again.' }),
  })
  .meta({ id: 'ImportReport' });

export const importTemplate = z
  .object({
    sheets: z
      .array(
        z.object({
          sheet: sheetName,
          about: z.string(),
          csv: z.string().meta({ description: 'The header line and an example row.' }),
          columns: z
            .array(
              z.object({
                name: z.string(),
                required: z.boolean(),
                example: z.string(),
                about: z.string(),
              }),
            )
            .max(20),
        }),
      )
      .max(20),
  })
  .meta({ id: 'ImportTemplate' });
