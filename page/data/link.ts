import type { LivingEvent } from '../../src/living/events.ts';

/** Whether what is shown goes on by itself. */
export type Link = 'joining' | 'live' | 'lost';

/** The service says so every five seconds that it is there. */
const SILENT_MS = 12_000;
const LOOK_MS = 1000;
/** A clock that is wrong comes with how the well stands as well. */
type Heard = Exclude<LivingEvent['kind'], 'please' | 'clock'>;
const KINDS = [
  'now',
  'run',
  'day',
  'finding',
  'alarm',
  'restated',
  'book',
  'trouble',
] as const satisfies readonly Heard[];
/** A lost connection is tried again after this, longer each time. */
const AGAIN_MS = [1000, 2000, 4000, 8000];

export interface Listening {
  onEvent(event: LivingEvent): void;
  /** Read anew what is shown: something was missed. */
  onGap(): void;
  onLink(link: Link): void;
}

/** Listens to what happens at all wells; returns what ends it. */
export function listen({ onEvent, onGap, onLink }: Listening): () => void {
  let source: EventSource | null = null;
  let heardMs = 0;
  let tries = 0;
  let missed = false;
  let again: ReturnType<typeof setTimeout> | undefined;

  const lost = () => {
    missed = true;
    source?.close();
    source = null;
    onLink('lost');
    clearTimeout(again);
    again = setTimeout(open, AGAIN_MS[Math.min(tries++, AGAIN_MS.length - 1)]);
  };
  const heard = () => {
    heardMs = performance.now();
    tries = 0;
  };
  const open = () => {
    if (source !== null) return;
    source = new EventSource('/api/v1/events');
    heardMs = performance.now();
    source.onopen = () => {
      heard();
      onLink('live');
      // A connection of its own start knows nothing of what came while there was none.
      if (missed) onGap();
      missed = false;
    };
    source.onerror = lost;
    source.addEventListener('here', heard);
    source.addEventListener('gap', onGap);
    for (const kind of KINDS)
      source.addEventListener(kind, (message) => {
        heard();
        onEvent(JSON.parse((message as MessageEvent<string>).data) as LivingEvent);
      });
  };
  const watch = setInterval(() => {
    if (source !== null && performance.now() - heardMs > SILENT_MS) lost();
  }, LOOK_MS);
  const back = () => {
    clearTimeout(again);
    open();
  };
  window.addEventListener('offline', lost);
  window.addEventListener('online', back);
  onLink('joining');
  open();
  return () => {
    clearInterval(watch);
    clearTimeout(again);
    window.removeEventListener('offline', lost);
    window.removeEventListener('online', back);
    source?.close();
  };
}
