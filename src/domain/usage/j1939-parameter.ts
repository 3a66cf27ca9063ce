/**
 * Parameters of J1939 frames (SAE J1939-71): where they lie, what a bit is worth, and which values
 * say something else than a number. Pure.
 *
 * Places, resolutions and numbers were compared with public parameter lists; those of SPN 235 and
 * 236, of 978 to 984 and of the states of 976 are in part from memory and mark nothing here but a
 * decoded figure. Only SPN 246, 247, 248 and 3948 are counted from.
 */

export interface Parameter {
  readonly spn: number;
  readonly pgn: number;
  readonly name: string;
  /** Counted from 1, as in the standard. */
  readonly byte: number;
  /** Counted from 1, the least significant; parameters of whole bytes begin at 1. */
  readonly bit: number;
  readonly bits: number;
  /** value = raw × times / over + offset: whole numbers, so that it is divided once. */
  readonly times: number;
  readonly over: number;
  readonly offset: number;
  /** `state`: a number that stands for a state. */
  readonly unit: 'h' | 'L' | 'r' | 'rpm' | '°C' | 'state';
}

export type ParameterState =
  | 'valid'
  | 'parameter_specific'
  | 'reserved'
  | 'error'
  | 'not_available';

export interface ParameterValue {
  readonly parameter: Parameter;
  readonly raw: number;
  readonly state: ParameterState;
  /** Null unless valid. Never 0 for something that was not said. */
  readonly value: number | null;
}

/** Every group read here is sent in one frame of eight bytes. */
export const frameBytes = 8;

type Place = readonly [byte: number, bit: number, bits: number];
type Scale = readonly [times: number, over: number, offset: number, unit: Parameter['unit']];

const hours: Scale = [1, 20, 0, 'h'];
const state: Scale = [1, 1, 0, 'state'];

function of(
  pgn: number,
  spn: number,
  name: string,
  [byte, bit, bits]: Place,
  [times, over, offset, unit]: Scale,
): Parameter {
  return { spn, pgn, name, byte, bit, bits, times, over, offset, unit };
}

const vehicleHours = 65_255;
const engineHours = 65_253;
const idleOperation = 65_244;
const powerTakeoff = 65_264;
const cruiseControl = 65_265;
const takeoffEngagement = 64_932;

export const parameters: readonly Parameter[] = [
  of(vehicleHours, 246, 'Total Vehicle Hours', [1, 1, 32], hours),
  of(vehicleHours, 248, 'Total Power Takeoff Hours', [5, 1, 32], hours),
  of(engineHours, 247, 'Engine Total Hours of Operation', [1, 1, 32], hours),
  of(engineHours, 249, 'Engine Total Revolutions', [5, 1, 32], [1000, 1, 0, 'r']),
  // Idle fuel in litres, not hours: the two are easily taken for each other.
  of(idleOperation, 236, 'Engine Total Idle Fuel Used', [1, 1, 32], [1, 2, 0, 'L']),
  of(idleOperation, 235, 'Engine Total Idle Hours', [5, 1, 32], hours),
  of(powerTakeoff, 90, 'Power Takeoff Oil Temperature', [1, 1, 8], [1, 1, -40, '°C']),
  of(powerTakeoff, 186, 'Power Takeoff Speed', [2, 1, 16], [1, 8, 0, 'rpm']),
  of(powerTakeoff, 187, 'Power Takeoff Set Speed', [4, 1, 16], [1, 8, 0, 'rpm']),
  // How the governor of the engine is set; it does not say that the pump is engaged.
  of(powerTakeoff, 980, 'PTO Governor Enable Switch', [6, 1, 2], state),
  of(powerTakeoff, 979, 'Remote PTO Preprogrammed Speed Switch', [6, 3, 2], state),
  of(powerTakeoff, 978, 'Remote PTO Variable Speed Switch', [6, 5, 2], state),
  of(powerTakeoff, 984, 'PTO Governor Set Switch', [7, 1, 2], state),
  of(powerTakeoff, 983, 'PTO Governor Coast or Decelerate Switch', [7, 3, 2], state),
  of(powerTakeoff, 982, 'PTO Governor Resume Switch', [7, 5, 2], state),
  of(powerTakeoff, 981, 'PTO Governor Accelerate Switch', [7, 7, 2], state),
  of(cruiseControl, 976, 'PTO Governor State', [7, 1, 5], state),
  of(takeoffEngagement, 3948, 'At Least One PTO Engaged', [7, 1, 2], state),
];

const bySpn = new Map(parameters.map((each) => [each.spn, each]));
const byPgn = new Map<number, Parameter[]>();
for (const each of parameters) {
  byPgn.set(each.pgn, [...(byPgn.get(each.pgn) ?? []), each]);
}

export const parameterOf = (spn: number): Parameter | undefined => bySpn.get(spn);

/** The parameters of a group that are known here; none for any other group. */
export const parametersOfGroup = (pgn: number): readonly Parameter[] => byPgn.get(pgn) ?? [];

/**
 * What a raw value says, decided by its most significant byte: FFxxxxxx is not available, whatever
 * follows. The bands are those of J1939-71 for 1, 2 and 4 bytes; two bits are off, on, error, not
 * available; of five bits only all ones are special.
 */
export function parameterState(raw: number, bits: number): ParameterState {
  if (bits < 8) {
    const ones = 2 ** bits - 1;
    if (raw === ones) return 'not_available';
    return bits === 2 && raw === 2 ? 'error' : 'valid';
  }
  const top = Math.floor(raw / 2 ** (bits - 8));
  if (top <= 0xfa) return 'valid';
  if (top === 0xfb) return 'parameter_specific';
  if (top <= 0xfd) return 'reserved';
  return top === 0xfe ? 'error' : 'not_available';
}

/** The raw value of a parameter: bytes in little-endian order, or bits of one byte. */
export function rawValue({ byte, bit, bits }: Parameter, data: ArrayLike<number>): number {
  if (bits < 8) return ((data[byte - 1] as number) >>> (bit - 1)) & (2 ** bits - 1);
  let raw = 0;
  for (let i = bits / 8 - 1; i >= 0; i--) raw = raw * 256 + (data[byte - 1 + i] as number);
  return raw;
}

/** The figure of a valid raw value. */
export function scaledValue({ times, over, offset }: Parameter, raw: number): number {
  return (raw * times) / over + offset;
}

/**
 * One parameter of a frame's data; null when the frame is not eight bytes long, as every group
 * known here is: what is missing must not read as zero.
 */
export function parameterValue(
  parameter: Parameter,
  data: ArrayLike<number>,
): ParameterValue | null {
  if (data.length !== frameBytes) return null;
  const raw = rawValue(parameter, data);
  const said = parameterState(raw, parameter.bits);
  const value = said === 'valid' ? scaledValue(parameter, raw) : null;
  return { parameter, raw, state: said, value };
}
