import { createContext } from 'preact';
import { useCallback, useContext, useEffect, useState } from 'preact/hooks';
import { ask, refusal, SESSION_OVER } from './api.ts';

/** Who looks at the page. */
interface Who {
  /** Whether one has to sign in here at all. */
  signIn: boolean;
  who: { role: 'owner' | 'reader'; name: string } | null;
}

/** Until it is known: as it is where nobody needs to sign in. */
const UNKNOWN: Who = { signIn: false, who: { role: 'owner', name: 'owner' } };

const Known = createContext(UNKNOWN);
export const WhoLooks = Known.Provider;

/** `mayAct` is false for a reader, who is offered nothing that changes anything. */
export function useWho(): { signsIn: boolean; name: string; mayAct: boolean } {
  const { signIn, who } = useContext(Known);
  return { signsIn: signIn, name: who?.name ?? '', mayAct: who?.role === 'owner' };
}

/** Who looks: asked at first, and whenever the service wants to know. */
export function useDoor(): [who: Who, set: (who: Who) => void] {
  const [who, setWho] = useState(UNKNOWN);
  const again = useCallback(() => {
    // Where the service cannot be reached, what was kept is shown, and marked as old.
    ask<Who>('/who').then(
      ({ body }) => setWho(body),
      () => undefined,
    );
  }, []);
  useEffect(() => {
    again();
    globalThis.addEventListener(SESSION_OVER, again);
    return () => globalThis.removeEventListener(SESSION_OVER, again);
  }, [again]);
  return [who, setWho];
}

export const signIn = (name: string, passphrase: string): Promise<Who> =>
  tell('/sign-in', { name, passphrase });

/** What this browser kept for a place without a signal goes with the session. */
export async function signOut(): Promise<void> {
  await tell('/sign-out', {});
  await globalThis.caches?.delete('answers');
}

async function tell<T>(path: string, body: object): Promise<T> {
  const response = await fetch(`/api/v1${path}`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(body),
  });
  const told = await response.json();
  if (!response.ok) throw refusal(response.status, told);
  return told;
}
