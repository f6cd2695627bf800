import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { extname, join, relative, sep } from 'node:path';
import { brotliCompressSync, gzipSync } from 'node:zlib';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { PAGE_HEADERS } from './headers.ts';
import { sendProblem } from './problems.ts';
import type { Served } from './served.ts';

const TYPES: Record<string, string> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.webmanifest': 'application/manifest+json',
};

/**
 * Screens whose addresses a person may keep or type, with a slash at the end too: the page itself
 * finds out which is meant.
 */
const SCREENS = [
  '/',
  ...[
    '/new',
    '/wells',
    '/wells/:well',
    '/wells/:well/:screen(^(runs|water|condition|tests|gauges|book)$)',
  ].flatMap((address) => [address, `${address}/`]),
];

/** The page holds nothing of any well: who may look at one it asks then. */
const OF_PAGE = { schema: { hide: true }, config: { may: 'anyone' } } as const;

interface PageFile {
  type: string;
  plain: Buffer;
  br: Buffer;
  gzip: Buffer;
  tag: string;
  /** How long a browser may go by what it has. */
  keep: string;
}

/** The name of an asset changes with its content; a browser asks for the icon with each sheet. */
const keepOf = (name: string): string => {
  if (name.startsWith('/assets/')) return 'public, max-age=31536000, immutable';
  return /^\/icon[^/]*$/.test(name) ? 'public, max-age=86400' : 'no-cache';
};

/** The built page, read and packed once. */
function filesOf(folder: string): Map<string, PageFile> {
  const files = new Map<string, PageFile>();
  if (!existsSync(folder)) return files;
  for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true })) {
    const type = TYPES[extname(entry.name)];
    if (!entry.isFile() || type === undefined) continue;
    const path = join(entry.parentPath, entry.name);
    const plain = readFileSync(path);
    const name = `/${relative(folder, path).split(sep).join('/')}`;
    const tag = `"${createHash('sha256').update(plain).digest('base64url').slice(0, 20)}"`;
    const [br, gzip] = [brotliCompressSync(plain), gzipSync(plain, { level: 9 })];
    files.set(name, { type, plain, br, gzip, tag, keep: keepOf(name) });
  }
  return files;
}

/** What a browser is shown. */
export function routePage(app: FastifyInstance, { page }: Served): void {
  const files = filesOf(page);
  const give = (name: string) => (request: FastifyRequest, reply: FastifyReply) => {
    const file = files.get(name);
    if (file === undefined) {
      const detail = `${name}: expected the page to be built (npm run build), found none`;
      return sendProblem(reply, 'no-such-address', detail);
    }
    return send(file, request, reply);
  };
  for (const url of SCREENS) app.get(url, OF_PAGE, give('/index.html'));
  for (const name of files.keys()) if (name !== '/index.html') app.get(name, OF_PAGE, give(name));
}

function send(file: PageFile, request: FastifyRequest, reply: FastifyReply): FastifyReply {
  reply.headers({
    ...PAGE_HEADERS,
    'cache-control': file.keep,
    etag: file.tag,
    vary: 'accept-encoding',
  });
  if (request.headers['if-none-match'] === file.tag) return reply.code(304).send();
  const takes = String(request.headers['accept-encoding'] ?? '');
  const form = (['br', 'gzip'] as const).find((one) => new RegExp(`\\b${one}\\b`).test(takes));
  if (form !== undefined) reply.header('content-encoding', form);
  return reply.type(file.type).send(form === undefined ? file.plain : file[form]);
}
