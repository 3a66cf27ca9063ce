import { note, type Report } from './document-reader.ts';

/**
 * Standard designations of lubricants: greases after DIN 51502 ('KP2K-30') and ISO 6743-9
 * ('ISO-L-XCCHB2'), oils by viscosity grade after ISO 3448 ('ISO VG 32').
 */
const grade = '(?:000|00|[0-6])';
const codes = [
  `(?:K|G|OG|M)(?:E|FK|HC|PH|PG|SI|X)?(?:PF|P|F)?(?:E|FK|HC|PH|PG|SI|X)?${grade}` +
    '[C-HKMNPRSTU](?:-[0-9]{2})?',
  `ISO-L-X[A-E][A-G][A-I][AB]${grade}`,
  'ISO VG (?:2|3|5|7|10|15|22|32|46|68|100|150|220|320|460|680|1000|1500)',
];

export const LUBRICANT_CODE = `^(?:${codes.join('|')})$`;
const shape = new RegExp(LUBRICANT_CODE, 'u');

export function readLubricantCode(report: Report, path: string, value: unknown): string {
  if (typeof value === 'string' && shape.test(value)) return value;
  note(report, path, 'must be a designation such as "KP2K-30", "ISO-L-XCCHB2" or "ISO VG 32"');
  return '';
}
