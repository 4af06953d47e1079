/** Processor time of some work in seconds: the time of other programs is not counted. */
export function cpuSeconds<T>(work: () => T): { readonly result: T; readonly seconds: number } {
  const before = process.cpuUsage();
  const result = work();
  const { user, system } = process.cpuUsage(before);
  return { result, seconds: (user + system) / 1e6 };
}
