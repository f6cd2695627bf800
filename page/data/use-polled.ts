import { useCallback, useEffect, useRef, useState } from 'preact/hooks';
import { ask, tell } from './api.ts';

export interface Polled<T> {
  value: T | null;
  /** Why what was asked last is not known. */
  unread: string | null;
  /** Why what somebody did last did not come about. */
  refused: string | null;
  /** What somebody does; the answer is what stands then. Whether it came about. */
  act(path: string, asked: object): Promise<boolean>;
}

/** Asked as often as someone looks at something that goes on under their hands. */
const EVERY_MS = 1000;

const saysOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

/** What stands at an address, asked again every second while the sheet is seen. */
export function usePolled<T>(path: string): Polled<T> {
  const [value, setValue] = useState<T | null>(null);
  const [unread, setUnread] = useState<string | null>(null);
  const [refused, setRefused] = useState<string | null>(null);
  // An answer that was asked for before an act must not undo what the act has shown.
  const acts = useRef(0);
  useEffect(() => {
    let timer: ReturnType<typeof setTimeout>;
    let wanted = true;
    const look = async () => {
      const before = acts.current;
      if (document.visibilityState === 'visible')
        try {
          const { body } = await ask<T>(path);
          if (wanted && before === acts.current) setValue(body);
          if (wanted) setUnread(null);
        } catch (error) {
          if (wanted) setUnread(saysOf(error));
        }
      if (wanted) timer = setTimeout(look, EVERY_MS);
    };
    void look();
    return () => {
      wanted = false;
      clearTimeout(timer);
    };
  }, [path]);
  const act = useCallback(async (to: string, asked: object) => {
    acts.current += 1;
    try {
      const answer = await tell<T>(to, asked);
      acts.current += 1;
      setValue(answer);
      setRefused(null);
      return true;
    } catch (error) {
      setRefused(saysOf(error));
      return false;
    }
  }, []);
  return { value, unread, refused, act };
}
