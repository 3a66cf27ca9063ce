/**
 * Waits for a promise, but not for ever.
 *
 * @returns its value, or `late` after so many milliseconds; rejects as the promise does before that
 */
export async function within<T, L>(waitMs: number, promise: Promise<T>, late: L): Promise<T | L> {
  let timer: NodeJS.Timeout | undefined;
  const timeout = new Promise<L>((resolve) => {
    timer = setTimeout(() => resolve(late), Math.max(0, waitMs));
  });
  // What comes after the deadline is nobody's error any more.
  promise.catch(() => undefined);
  try {
    return await Promise.race([promise, timeout]);
  } finally {
    clearTimeout(timer);
  }
}
