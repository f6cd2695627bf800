import { ask, tell } from './api.ts';

/** How it stands with this browser: told, not told, or why it cannot be. */
export type PushState = 'told' | 'not-told' | 'no-keys' | 'not-here' | 'refused';

interface Desk {
  key: string | null;
  subscribers: { name: string }[];
}

const askDesk = async (): Promise<Desk> => (await ask<Desk>('/push')).body;

/** What this browser is called at the service, kept here for as long as it is told. */
const NAME = 'told-as';

function nameFor(by: string): string {
  const word = by
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .slice(0, 20);
  return `${word}-${crypto.randomUUID().slice(0, 8)}`;
}

/** Browsers take a push over TLS, or on the service's own machine, with a worker. */
const isAble = (): boolean =>
  isSecureContext && 'PushManager' in window && 'Notification' in window;

const registration = async (): Promise<ServiceWorkerRegistration | null> =>
  (await navigator.serviceWorker?.getRegistration()) ?? null;

export async function pushState(): Promise<PushState> {
  if (!isAble() || (await registration()) === null) return 'not-here';
  const { key, subscribers } = await askDesk();
  if (key === null) return 'no-keys';
  if (Notification.permission === 'denied') return 'refused';
  const subscription = await (await registration())?.pushManager.getSubscription();
  const isKnown = subscribers.some(({ name }) => name === localStorage.getItem(NAME));
  return subscription == null || !isKnown ? 'not-told' : 'told';
}

/** Asks the person, then the browser, then the service; only ever upon a press. */
export async function tellThisBrowser(by: string): Promise<PushState> {
  if ((await Notification.requestPermission()) !== 'granted') return 'refused';
  const [worker, { key }] = [await registration(), await askDesk()];
  if (worker === null || key === null) return pushState();
  const subscription = await worker.pushManager.subscribe({
    userVisibleOnly: true,
    applicationServerKey: key,
  });
  const { endpoint, keys } = subscription.toJSON();
  const name = localStorage.getItem(NAME) ?? nameFor(by);
  await tell(`/push/${name}`, { by, subscription: { endpoint, keys } });
  localStorage.setItem(NAME, name);
  return 'told';
}

export async function tellNoMore(by: string): Promise<PushState> {
  const subscription = await (await registration())?.pushManager.getSubscription();
  if (subscription == null) return 'not-told';
  // The service first: where it cannot be reached, all stays as it is.
  const name = localStorage.getItem(NAME);
  if (name !== null) await tell(`/push/${name}/end`, { by });
  localStorage.removeItem(NAME);
  await subscription.unsubscribe();
  return 'not-told';
}
