/** A PIN is typed with a gloved thumb on a shared phone: four to eight digits. */
export const pinShape = /^\d{4,8}$/;

const steps = (pin: string): number[] =>
  [...pin].slice(1).map((digit, i) => (Number(digit) - Number(pin[i]) + 10) % 10);

/**
 * Why nobody should take this PIN; null when there is nothing against it. Refused is what others
 * try first: one digit over and over, digits in their order up or down, a short pattern repeated.
 */
export function weakness(pin: string): string | null {
  const each = steps(pin);
  if (each.every((step) => step === 0)) return 'It is one digit over and over.';
  if (each.every((step) => step === 1) || each.every((step) => step === 9)) {
    return 'Its digits stand in their order.';
  }
  for (const length of [2, 3, 4]) {
    if (pin.length <= length || pin.length % length !== 0) continue;
    if (pin === pin.slice(0, length).repeat(pin.length / length)) return 'It repeats itself.';
  }
  return null;
}
