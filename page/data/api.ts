import type { WellFileIssue } from '../../src/wellfile/issue.ts';

const API = '/api/v1';

/** An answer; `keptAt` is when it was true, where it is an old one kept by this browser. */
export interface Answer<T> {
  body: T;
  keptAt: string | null;
}

/** Thrown where the service answered with problem details. */
export class Refused extends Error {
  readonly code: string;
  /** All that is wrong in a well file, where that is why. */
  readonly issues: readonly WellFileIssue[];
  constructor(code: string, detail: string, issues: readonly WellFileIssue[] = []) {
    super(detail);
    this.code = code;
    this.issues = issues;
  }
}

/** Happens where an answer is refused for want of a session. */
export const SESSION_OVER = 'session-over';

interface Problem {
  code?: string;
  detail?: string;
  errors?: WellFileIssue[];
}

/** What a refused answer comes to. */
export function refusal(status: number, { code, detail, errors }: Problem) {
  if (code === 'sign-in') globalThis.dispatchEvent(new Event(SESSION_OVER));
  return new Refused(code ?? `${status}`, detail ?? '', errors);
}

export async function ask<T>(path: string, signal?: AbortSignal): Promise<Answer<T>> {
  const response = await fetch(API + path, signal ? { signal } : {});
  const body = await response.json();
  if (!response.ok) throw refusal(response.status, body);
  return { body: body as T, keptAt: response.headers.get('x-kept') };
}

/** Tells the service what somebody wants, and gives its answer. */
export async function tell<T>(
  path: string,
  asked: object,
  method: 'POST' | 'PUT' = 'POST',
): Promise<T> {
  const response = await fetch(API + path, {
    method,
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(asked),
  });
  const body = await response.json();
  if (response.ok) return body as T;
  throw refusal(response.status, body);
}

/** A log of raw readings, as text. */
export async function askText(path: string): Promise<string> {
  const response = await fetch(API + path);
  if (response.ok) return response.text();
  throw refusal(response.status, await response.json());
}

export const instant = (timeS: number): string => new Date(timeS * 1000).toISOString();

export function ofWell(wellId: string, what: string, query: Record<string, string> = {}): string {
  const asked = String(new URLSearchParams(query));
  return `/wells/${wellId}/${what}${asked === '' ? '' : `?${asked}`}`;
}

/** All records of a span, page after page. */
export async function askAll<T>(
  wellId: string,
  what: 'runs' | 'draws' | 'findings',
  span: { fromS?: number; toS?: number } = {},
): Promise<T[]> {
  const all: T[] = [];
  const to = span.toS === undefined ? {} : { to: instant(span.toS) };
  let from = span.fromS === undefined ? {} : { from: instant(span.fromS) };
  for (;;) {
    const { body } = await ask<Record<string, T[]> & { next: string | null }>(
      ofWell(wellId, what, { ...from, ...to }),
    );
    all.push(...(body[what] ?? []));
    if (body.next === null) return all;
    from = { from: body.next as string };
  }
}
