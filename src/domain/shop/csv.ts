/**
 * CSV as RFC 4180 has it: CRLF, a field in quotes where it holds a comma, a quote or an end of
 * line. What a spreadsheet would take for a formula gets an apostrophe before it; not in the RFC.
 */
const formula = /^[=+\-@\t\r]/;
const quoted = /[",\r\n]/;

export function csvField(value: string | number | null): string {
  if (value === null) return '';
  const text = String(value);
  const safe = formula.test(text) ? `'${text}` : text;
  return quoted.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

export const csvLine = (fields: readonly (string | number | null)[]): string =>
  `${fields.map(csvField).join(',')}\r\n`;
