/** Names of the errors with which a browser refuses to open a database at all, as in some private windows. */
const REFUSALS: readonly string[] = ['OpenFailedError', 'MissingAPIError', 'InvalidStateError', 'UnknownError', 'SecurityError', 'DatabaseClosedError'];

/** Whether an error says that the browser refuses the database. */
export function isRefusal(error: unknown): boolean {
  return error instanceof Error && REFUSALS.includes(error.name);
}
