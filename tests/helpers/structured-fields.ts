/** What RFC 9651 lets a list of items hold, as far as our fields use it. */
export interface Item {
  value: string | number;
  params: Record<string, string | number | true>;
}

const key = /^[a-z*][a-z0-9_\-.*]*/;
const integer = /^-?\d{1,15}(?![\d.])/;
const string = /^"((?:[\x20-\x21\x23-\x5b\x5d-\x7e]|\\["\\])*)"/;
const token = /^[A-Za-z*][!#$%&'*+\-.^_`|~\w:/]*/;

/**
 * Parses a field as a structured List of Items (RFC 9651, 4.2), strictly.
 *
 * @throws Error for anything else
 */
export function parseItemList(field: string): Item[] {
  let rest = field.replace(/^ +| +$/g, '');
  const bite = (what: RegExp): string | null => {
    const found = what.exec(rest);
    if (!found) return null;
    rest = rest.slice(found[0].length);
    return found[1] ?? found[0];
  };
  const bare = (): string | number => {
    const number = bite(integer);
    if (number !== null) return Number(number);
    const text = bite(string);
    if (text !== null) return text.replace(/\\(["\\])/g, '$1');
    const word = bite(token);
    if (word === null) throw new Error(`no item at "${rest}" of "${field}"`);
    return word;
  };
  const items: Item[] = [];
  for (;;) {
    const item: Item = { value: bare(), params: {} };
    while (bite(/^; */) !== null) {
      const name = bite(key);
      if (name === null) throw new Error(`no parameter at "${rest}" of "${field}"`);
      item.params[name] = bite(/^=/) === null ? true : bare();
    }
    items.push(item);
    if (rest === '') return items;
    if (bite(/^[ \t]*,[ \t]*/) === null || rest === '') throw new Error(`"${field}" is no list`);
  }
}
