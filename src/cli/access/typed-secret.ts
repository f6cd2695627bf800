import { createInterface } from 'node:readline/promises';
import { Writable } from 'node:stream';
import { UsageError } from '../usage.ts';

/** A secret typed twice on a terminal and not shown, or the one line that comes in otherwise. */
export async function typedSecret(ask: string): Promise<string> {
  const { stdin, stdout } = process;
  const silent = new Writable({ write: (_chunk, _encoding, done) => done() });
  const lines = createInterface({ input: stdin, output: silent, terminal: stdin.isTTY });
  try {
    if (!stdin.isTTY) return await first(lines);
    stdout.write(ask);
    const secret = await lines.question('');
    stdout.write('\nThe same again: ');
    const again = await lines.question('');
    stdout.write('\n');
    if (secret === again) return secret;
    throw new UsageError('expected the same passphrase twice, found two');
  } finally {
    lines.close();
  }
}

async function first(lines: AsyncIterable<string>): Promise<string> {
  for await (const line of lines) return line;
  throw new UsageError('expected a passphrase on the standard input, found none');
}
