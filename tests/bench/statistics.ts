export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length / 2;
  return sorted.length % 2 === 1
    ? sorted[Math.floor(middle)]!
    : (sorted[middle - 1]! + sorted[middle]!) / 2;
}

/**
 * A distribution-free interval for the median: the order statistics that hold it with at least 90 %
 * (binomial, p = 1/2). With few pairs it is the whole range.
 */
export function medianInterval(values: readonly number[]): [number, number] {
  const sorted = [...values].sort((a, b) => a - b);
  const n = sorted.length;
  let k = 0;
  let tail = 0;
  let term = 0.5 ** n;
  for (let i = 0; i < n / 2; i++) {
    tail += term;
    if (2 * tail > 0.1) break;
    k = i + 1;
    term = (term * (n - i)) / (i + 1);
  }
  return [sorted[k === 0 ? 0 : k - 1]!, sorted[k === 0 ? n - 1 : n - k]!];
}

export function percentile(values: readonly number[], p: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(p * sorted.length))]!;
}
