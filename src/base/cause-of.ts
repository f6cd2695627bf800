/** What went wrong, with a connection say, in the words of the system. */
export function causeOf(error: unknown): string {
  if (!(error instanceof Error)) return String(error);
  if (error.cause !== undefined) return causeOf(error.cause);
  if (error instanceof AggregateError && error.errors.length > 0) return causeOf(error.errors[0]);
  const { code } = error as { code?: unknown };
  if (typeof code !== 'string' || error.message.includes(code)) return error.message;
  return error.message === '' ? code : `${code} ${error.message}`;
}
