/**
 * Keeps the page and the last answers of the service, so that the last state can be read in a well
 * house without a signal. What comes from here instead of the service carries `x-kept`, the moment
 * it was true, and the page marks it as old.
 */
const scope = self as unknown as ServiceWorkerGlobalScope;

/** Put in by the build. */
const PAGE_FILES = JSON.parse('FILES') as string[];
const PAGE_CACHE = 'page-BUILD';
const ANSWERS_CACHE = 'answers';
/** Answers kept, the latest used last. */
const ANSWERS_MOST = 120;
/** A poor signal is given up after this for what is kept. */
const PATIENCE_MS = 6000;

scope.addEventListener('install', (event) => {
  const kept = caches.open(PAGE_CACHE).then((cache) => cache.addAll(PAGE_FILES));
  event.waitUntil(kept.then(() => scope.skipWaiting()));
});

scope.addEventListener('activate', (event) => {
  const dropOld = async () => {
    for (const name of await caches.keys())
      if (name.startsWith('page-') && name !== PAGE_CACHE) await caches.delete(name);
    await scope.clients.claim();
  };
  event.waitUntil(dropOld());
});

scope.addEventListener('fetch', (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== 'GET' || origin !== scope.location.origin) return;
  // A file to take away or to print is no sheet of the page: nothing stands in for it.
  if (request.mode === 'navigate' && pathname.startsWith('/api/')) return;
  if (request.mode === 'navigate') event.respondWith(pageOr(request));
  else if (pathname.startsWith('/assets/')) event.respondWith(fileOr(request));
  else if (isState(pathname)) event.respondWith(answerOr(request));
});

/** A notice, as the service sends it to a browser. */
interface Notice {
  id: string;
  kind: string;
  well: string;
  urgency: string;
  alarm: string | null;
  subject: string;
  text: string;
}

scope.addEventListener('push', (event) => {
  const notice = event.data?.json() as Notice;
  const shown = scope.registration.showNotification(notice.subject, {
    body: notice.text,
    icon: '/icon-192.png',
    // One alarm is one notice: what is told of it later takes its place.
    tag: notice.alarm ?? notice.id,
    requireInteraction: notice.urgency === 'now' && notice.kind !== 'over',
    data: { place: `/wells/${notice.well}/condition` },
  });
  event.waitUntil(shown);
});

scope.addEventListener('notificationclick', (event) => {
  const { notification } = event;
  notification.close();
  event.waitUntil(openAt((notification.data as { place: string }).place));
});

/** The page where it is open already, led there; else a new one. */
async function openAt(place: string): Promise<void> {
  const [open] = await scope.clients.matchAll({ type: 'window' });
  if (open === undefined) await scope.clients.openWindow(place);
  else await (await open.navigate(place).catch(() => open))?.focus();
}

/** Logs, studies and events are not kept: large, or of their moment only. */
const KEPT = 'now|file|outline|runs|days|periods|draws|findings|alarms|readings|book|due';
const STATE = new RegExp(`^/api/v1/wells(/[^/]+/(${KEPT}))?$`);
const isState = (path: string) => STATE.test(path);

async function pageOr(request: Request): Promise<Response> {
  try {
    return await soon(fetch(request));
  } catch {
    return (await caches.match('/')) ?? Response.error();
  }
}

async function fileOr(request: Request): Promise<Response> {
  return (await caches.match(request)) ?? fetch(request);
}

async function answerOr(request: Request): Promise<Response> {
  const cache = await caches.open(ANSWERS_CACHE);
  try {
    const answer = await soon(fetch(request));
    // A browser without room for it has the answer all the same.
    if (answer.ok) await keep(cache, request, answer.clone()).catch(() => undefined);
    return answer;
  } catch (error) {
    const kept = await cache.match(request, { ignoreVary: true });
    if (kept === undefined) throw error;
    return kept;
  }
}

async function keep(cache: Cache, request: Request, answer: Response): Promise<void> {
  const headers = new Headers(answer.headers);
  headers.set('x-kept', new Date().toISOString());
  headers.delete('content-encoding');
  headers.delete('content-length');
  const { status } = answer;
  await cache.delete(request, { ignoreVary: true });
  await cache.put(request, new Response(await answer.blob(), { status, headers }));
  // What is asked for once, as the page opens, stays; spans and such come and go.
  const keys = (await cache.keys()).filter(({ url }) => url.includes('?'));
  for (const old of keys.slice(0, Math.max(0, keys.length - ANSWERS_MOST))) await cache.delete(old);
}

function soon(answer: Promise<Response>): Promise<Response> {
  const late = new Promise<never>((_, reject) => {
    setTimeout(() => reject(new Error('too slow')), PATIENCE_MS);
  });
  return Promise.race([answer, late]);
}

export {};
