import type { FastifyInstance } from 'fastify';
import { isDeeper } from '../base/json-depth.ts';
import type { ServerLimits } from './limits.ts';
import { Refusal } from './problems.ts';

const UTF8 = new TextDecoder('utf-8', { fatal: true });

/** Routes of `own` take JSON and nothing else, of so many bytes and so deep. */
export function takeJson(
  own: FastifyInstance,
  { askBytes, askDepth }: ServerLimits,
  mostBytes: number = askBytes,
): void {
  const parse = own.getDefaultJsonParser('error', 'error');
  own.addContentTypeParser(
    'application/json',
    { parseAs: 'buffer', bodyLimit: mostBytes },
    (request, body: Buffer, done) => {
      if (isDeeper(body, askDepth))
        return done(new Refusal('bad-request', `expected JSON at most ${askDepth} deep`));
      const text = textOf(body);
      if (text === null)
        return done(new Refusal('bad-request', 'expected UTF-8, found other bytes'));
      parse(request, text, done);
    },
  );
  own.addContentTypeParser('*', (_request, _body, done) =>
    done(new Refusal('wrong-type', 'expected application/json')),
  );
}

function textOf(bytes: Buffer): string | null {
  try {
    return UTF8.decode(bytes);
  } catch {
    return null;
  }
}
