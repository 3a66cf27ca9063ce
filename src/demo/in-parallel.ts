/** Runs `each` over a list, a few at a time, in order of the list. */
export async function inParallel<T>(
  list: readonly T[],
  atOnce: number,
  each: (item: T) => Promise<void>,
): Promise<void> {
  let next = 0;
  const worker = async () => {
    while (next < list.length) {
      const item = list[next] as T;
      next += 1;
      await each(item);
    }
  };
  await Promise.all(Array.from({ length: Math.min(atOnce, list.length) }, worker));
}
