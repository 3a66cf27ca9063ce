/**
 * PostgreSQL's binary form of a one-dimensional int8 array. The text form of 500 numbers costs
 * more than storing them; `pg` passes a Buffer parameter as binary, so this small encoder is all
 * that is needed. Layout: dimensions, has-null flag, element oid, length, lower bound, then
 * length-prefixed elements, all big-endian.
 */
const int8Oid = 20;
const int4Oid = 23;
const headerBytes = 20;
const twoTo32 = 4294967296;

/** A buffer for `n` elements of one type, its header written; without elements it is complete. */
function arrayOf(n: number, elementOid: number, elementBytes: number): DataView {
  const buffer = Buffer.alloc(n === 0 ? 12 : headerBytes + n * elementBytes);
  const view = new DataView(buffer.buffer, buffer.byteOffset, buffer.length);
  view.setInt32(8, elementOid);
  if (n === 0) return view;
  view.setInt32(0, 1);
  view.setInt32(12, n);
  view.setInt32(16, 1);
  return view;
}

const bufferOf = (view: DataView): Buffer =>
  Buffer.from(view.buffer, view.byteOffset, view.byteLength);

/** Encodes whole numbers within ±2^53. */
export function encodeInt8Array(values: ArrayLike<number>): Buffer {
  const view = arrayOf(values.length, int8Oid, 12);
  let at = headerBytes;
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    view.setInt32(at, 8);
    view.setInt32(at + 4, Math.floor(value / twoTo32));
    view.setUint32(at + 8, value >>> 0);
    at += 12;
  }
  return bufferOf(view);
}

/** Encodes the steps between neighbours of each list, all end to end, as an int4 array. */
export function encodeSteps(lists: readonly (readonly number[])[]): Buffer {
  const view = arrayOf(
    lists.reduce((n, list) => n + list.length - 1, 0),
    int4Oid,
    8,
  );
  let at = headerBytes;
  for (const list of lists) {
    for (let i = 1; i < list.length; i++) {
      view.setInt32(at, 4);
      view.setInt32(at + 4, (list[i] as number) - (list[i - 1] as number));
      at += 8;
    }
  }
  return bufferOf(view);
}

/** Adds steps up from the first value. */
export function fromSteps(first: number, steps: Float64Array): Float64Array {
  const values = new Float64Array(steps.length + 1);
  let value = first;
  values[0] = value;
  for (let i = 0; i < steps.length; i++) {
    value += steps[i] as number;
    values[i + 1] = value;
  }
  return values;
}

/**
 * Decodes PostgreSQL's text of an array without nulls, such as `{1795599400000,-3}`, whose values
 * are within ±2^53. Text, because `pg` turns binary results into UTF-8 strings and so destroys
 * them; a loop over character codes, because it is read for every reading that is folded.
 */
export function decodeIntegers(text: string): Float64Array {
  if (text.length <= 2) return new Float64Array(0);
  let n = 1;
  for (let i = text.indexOf(','); i !== -1; i = text.indexOf(',', i + 1)) n += 1;
  const values = new Float64Array(n);
  let index = 0;
  let value = 0;
  let sign = 1;
  for (let i = 1; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code >= 48 && code <= 57) value = value * 10 + (code - 48);
    else if (code === 45) sign = -1;
    else {
      values[index++] = sign * value;
      value = 0;
      sign = 1;
    }
  }
  return values;
}
