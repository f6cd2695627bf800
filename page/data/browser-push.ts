import { ask, tell } from './api.ts';

/** How it stands with this browser: told, not told, or why it cannot be. */
export type PushState = 'told' | 'not-told' | 'no-keys' | 'not-here' | 'refused';

interface KeyOfService {
  key: string | null;
}

const askKey = async (): Promise<string | null> => (await ask<KeyOfService>('/browsers')).body.key;

/** Browsers take a push over TLS, or on the service's own machine, with a worker. */
const isAble = (): boolean =>
  isSecureContext && 'PushManager' in window && 'Notification' in window;

const registration = async (): Promise<ServiceWorkerRegistration | null> =>
  (await navigator.serviceWorker?.getRegistration()) ?? null;

export async function pushState(): Promise<PushState> {
  if (!isAble() || (await registration()) === null) return 'not-here';
  if ((await askKey()) === null) return 'no-keys';
  if (Notification.permission === 'denied') return 'refused';
  const subscription = await (await registration())?.pushManager.getSubscription();
  return subscription == null ? 'not-told' : 'told';
}

/** Asks the person, then the browser, then the service; only ever upon a press. */
export async function tellThisBrowser(by: string): Promise<PushState> {
  if ((await Notification.requestPermission()) !== 'granted') return 'refused';
  const [worker, key] = [await registration(), await askKey()];
  if (worker === null || key === null) return pushState();
  const subscription = await worker.pushManager.subscribe({
    userVisibleOnly: true,
    applicationServerKey: key,
  });
  const { endpoint, keys } = subscription.toJSON();
  await tell('/browsers', { by, subscription: { endpoint, keys } });
  return 'told';
}

export async function tellNoMore(): Promise<PushState> {
  const subscription = await (await registration())?.pushManager.getSubscription();
  if (subscription == null) return 'not-told';
  // The service first: where it cannot be reached, all stays as it is.
  await tell('/browsers/forget', { endpoint: subscription.endpoint });
  await subscription.unsubscribe();
  return 'not-told';
}
