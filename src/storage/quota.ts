/** Whether an error of the database or the file system says, itself or through the error behind it, that there is no room left. */
export function isQuotaError(error: unknown): boolean {
  if (typeof error !== 'object' || error === null) return false;
  if ('name' in error && error.name === 'QuotaExceededError') return true;
  if ('inner' in error && error.inner !== error && isQuotaError(error.inner)) return true;
  return 'failures' in error && Array.isArray(error.failures) && error.failures.some(isQuotaError);
}
