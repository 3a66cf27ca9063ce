/**
 * The 29-bit identifier of a J1939 frame: `priority(3) · extended data page(1) · data page(1) ·
 * PDU format(8) · PDU specific(8) · source address(8)` (SAE J1939-21, as the Linux kernel's own
 * notes on J1939 give it). A format below 240 (PDU1) sends to one address, which is no part of the
 * parameter group number; from 240 on (PDU2) the second byte is part of it. Pure.
 */

export interface FrameId {
  /** 0 wins over 7. */
  readonly priority: number;
  /** Parameter group number, at most 0x3FFFF. */
  readonly pgn: number;
  readonly source: number;
  /** PDU1 only; null when the frame is for everybody. */
  readonly destination: number | null;
}

/** The highest identifier of an extended frame. */
export const frameIdMax = 0x1fff_ffff;

/** From this PDU format on the second byte belongs to the group number. */
const firstPdu2Format = 240;

/** Null for what is no whole number of 29 bits; flags of SocketCAN are taken off before. */
export function parseFrameId(id: number): FrameId | null {
  if (!Number.isInteger(id) || id < 0 || id > frameIdMax) return null;
  const format = (id >>> 16) & 0xff;
  const specific = (id >>> 8) & 0xff;
  // Extended data page, data page and format lie together as they do in the group number.
  const page = ((id >>> 16) & 0x3ff) << 8;
  const isPdu1 = format < firstPdu2Format;
  return {
    priority: (id >>> 26) & 7,
    pgn: isPdu1 ? page : page | specific,
    source: id & 0xff,
    destination: isPdu1 ? specific : null,
  };
}

/**
 * The identifier of these fields; the inverse of `parseFrameId`. A PDU1 group needs a destination
 * (255: everybody), a PDU2 group has none.
 *
 * @throws RangeError when a field does not fit
 */
export function composeFrameId({ priority, pgn, source, destination }: FrameId): number {
  const fits = (value: number, max: number) =>
    Number.isInteger(value) && value >= 0 && value <= max;
  if (!fits(priority, 7) || !fits(pgn, 0x3ffff) || !fits(source, 0xff)) {
    throw new RangeError('priority 0-7, pgn 0-3FFFF, source 0-FF');
  }
  const isPdu1 = ((pgn >>> 8) & 0xff) < firstPdu2Format;
  if (isPdu1 !== (destination !== null)) {
    throw new RangeError('a PDU1 group has a destination, another has none');
  }
  if (isPdu1 && ((pgn & 0xff) !== 0 || !fits(destination as number, 0xff))) {
    throw new RangeError('the last byte of a PDU1 group is zero, its destination 0-FF');
  }
  return ((priority << 26) | (pgn << 8) | ((destination ?? 0) << 8) | source) >>> 0;
}
