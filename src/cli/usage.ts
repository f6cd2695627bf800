import { type ParseArgsConfig, parseArgs } from 'node:util';

/** What a person at the command line can mend: printed as it is, exit 2. */
export class UsageError extends Error {
  constructor(message: string) {
    super(message);
    this.name = 'UsageError';
  }
}

/** Options and positionals of a command; what is none is told with its usage. */
export function readArgs<T extends ParseArgsConfig>(
  usage: string,
  config: T,
): ReturnType<typeof parseArgs<T>> {
  try {
    return parseArgs(config);
  } catch (error) {
    throw new UsageError(`${error instanceof Error ? error.message : String(error)}\n${usage}`);
  }
}
