import type { Readable } from 'node:stream';
import { promisify } from 'node:util';
import { gunzip } from 'node:zlib';

export type BodyTrouble = 'too-large' | 'too-slow' | 'cut' | 'not-gzip';

const gunzipped = promisify(gunzip);

/** The bytes of a body, with bounds on its size and on how long it may take; never throws. */
export async function readBody(
  body: Readable,
  { mostBytes, withinS, gzip }: { mostBytes: number; withinS: number; gzip: boolean },
): Promise<Uint8Array | BodyTrouble> {
  const raw = await gathered(body, mostBytes, withinS * 1000);
  if (!gzip || typeof raw === 'string') return raw;
  try {
    return await gunzipped(raw, { maxOutputLength: mostBytes });
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    return code === 'ERR_BUFFER_TOO_LARGE' ? 'too-large' : 'not-gzip';
  }
}

function gathered(
  body: Readable,
  mostBytes: number,
  withinMs: number,
): Promise<Uint8Array | BodyTrouble> {
  return new Promise((resolve) => {
    const chunks: Uint8Array[] = [];
    let bytes = 0;
    const finish = (result: Uint8Array | BodyTrouble) => {
      clearTimeout(timer);
      body.off('data', onData).off('end', onEnd).off('close', onCut).off('error', onCut);
      // Left paused: what else comes is not gathered, and the answer can still go out.
      body.pause();
      body.on('error', () => undefined);
      resolve(result);
    };
    const onData = (chunk: Uint8Array) => {
      bytes += chunk.length;
      if (bytes > mostBytes) finish('too-large');
      else chunks.push(chunk);
    };
    const onEnd = () => finish(Buffer.concat(chunks));
    const onCut = () => finish('cut');
    const timer = setTimeout(() => finish('too-slow'), withinMs);
    body.on('data', onData).on('end', onEnd).on('close', onCut).on('error', onCut);
  });
}
