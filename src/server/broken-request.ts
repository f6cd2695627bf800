import { STATUS_CODES } from 'node:http';
import type { Socket } from 'node:net';
import { ANSWER_HEADERS } from './headers.ts';
import type { ServerProblem } from './problems.ts';

const STATUS: Record<string, [number, ServerProblem]> = {
  HPE_HEADER_OVERFLOW: [431, 'too-large'],
  ERR_HTTP_REQUEST_TIMEOUT: [408, 'too-slow'],
};

/**
 * Answers what is no HTTP, or comes too slowly to be a request, and ends the connection. Returns
 * what was told; null where nobody was there.
 */
export function answerBroken(
  error: Error & { code?: string },
  socket: Socket,
): ServerProblem | null {
  if (error.code === 'ECONNRESET' || !socket.writable) {
    socket.destroy();
    return null;
  }
  const [status, code] = STATUS[error.code ?? ''] ?? ([400, 'bad-request'] as const);
  const title = STATUS_CODES[status];
  const detail = `expected an HTTP request, found ${error.message}`;
  const body = JSON.stringify({ type: 'about:blank', title, status, detail, code });
  const head = [
    `HTTP/1.1 ${status} ${title}`,
    ...Object.entries(ANSWER_HEADERS).map(([name, value]) => `${name}: ${value}`),
    'content-type: application/problem+json',
    `content-length: ${Buffer.byteLength(body)}`,
    'connection: close',
  ];
  socket.end(`${head.join('\r\n')}\r\n\r\n${body}`);
  return code;
}
