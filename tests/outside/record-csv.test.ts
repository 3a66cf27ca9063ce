import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { csvField, csvLine } from '../../src/domain/shop/csv.ts';

// RFC 4180, section 2, rules 1 and 4 to 7 (from memory, well known). The apostrophe before what a
// spreadsheet takes for a formula is not in the RFC.

test.each([
  ['aaa', 'aaa'],
  ['b,bb', '"b,bb"'],
  ['b"bb', '"b""bb"'],
  ['b\r\nbb', '"b\r\nbb"'],
  ['', ''],
])('%j is written as %j', (value, written) => {
  expect(csvField(value)).toBe(written);
});

test('lines end with CRLF, also the last', () => {
  expect(csvLine(['aaa', null, 7])).toBe('aaa,,7\r\n');
});

test.each(['=1+1', '+1', '-1', '@SUM(A1)', '\t=1', '\r=1'])('%j is text, no formula', (value) => {
  expect(csvField(value).replace(/^"/, '')[0]).toBe("'");
});

test('a number below nothing is text too: a reader of the file must not reckon with it', () => {
  expect(csvField(-4.5)).toBe("'-4.5");
});

test('whatever is written, a reader gets back', () => {
  fc.assert(
    fc.property(fc.array(fc.string({ unit: 'grapheme' }), { minLength: 2 }), (fields) => {
      const [read] = parse(csvLine(fields), { record_delimiter: '\r\n' }) as string[][];
      const plain = (field: string) => (/^[=+\-@\t\r]/.test(field) ? `'${field}` : field);
      expect(read).toEqual(fields.map(plain));
    }),
  );
});
