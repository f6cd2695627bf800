import type { RefObject } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { moved, type PaperWindow, spanOf, zoomed } from './paper-window.ts';

interface Gestures {
  shown: PaperWindow;
  put(window: PaperWindow): void;
  /** Where the paper begins and ends, px. */
  left: number;
  width: number;
  onCursor(atS: number | null): void;
}

/** A drag moves the paper, two fingers or wheel and key stretch it, a pointer reads it. */
export function usePaperGestures(
  canvas: RefObject<HTMLCanvasElement | null>,
  gestures: Gestures,
): void {
  const latest = useRef(gestures);
  latest.current = gestures;
  useEffect(() => {
    const element = canvas.current;
    return element === null ? undefined : attach(element, latest);
  }, [canvas]);
}

function attach(element: HTMLCanvasElement, latest: { current: Gestures }): () => void {
  const fingers = new Map<number, number>();
  const shareOf = (clientX: number) => {
    const { left, width } = latest.current;
    const x = clientX - element.getBoundingClientRect().left;
    return (x - left) / (width - left - 8);
  };
  const spread = () => {
    const [a = 0, b = 0] = [...fingers.values()];
    return Math.max(0.02, Math.abs(a - b));
  };
  const down = (event: PointerEvent) => {
    fingers.set(event.pointerId, shareOf(event.clientX));
    element.setPointerCapture(event.pointerId);
  };
  const move = (event: PointerEvent) => {
    const { shown, put, onCursor } = latest.current;
    const share = shareOf(event.clientX);
    const before = fingers.get(event.pointerId);
    if (before === undefined) {
      onCursor(share >= 0 && share <= 1 ? shown.fromS + share * spanOf(shown) : null);
      return;
    }
    const was = spread();
    fingers.set(event.pointerId, share);
    if (fingers.size === 1) put(moved(shown, (before - share) * spanOf(shown)));
    else if (fingers.size === 2) {
      const [a = 0, b = 0] = [...fingers.values()];
      put(zoomed(shown, was / spread(), (a + b) / 2));
    }
  };
  const up = (event: PointerEvent) => fingers.delete(event.pointerId);
  const leave = () => latest.current.onCursor(null);
  const wheel = (event: WheelEvent) => {
    const { shown, put } = latest.current;
    // The page itself scrolls by the plain wheel.
    if (event.ctrlKey || event.metaKey || event.altKey) {
      event.preventDefault();
      put(zoomed(shown, Math.exp(event.deltaY / 300), shareOf(event.clientX)));
    } else if (Math.abs(event.deltaX) > Math.abs(event.deltaY)) {
      event.preventDefault();
      put(moved(shown, (event.deltaX / latest.current.width) * spanOf(shown)));
    }
  };
  element.addEventListener('pointerdown', down);
  element.addEventListener('pointermove', move);
  element.addEventListener('pointerup', up);
  element.addEventListener('pointercancel', up);
  element.addEventListener('pointerleave', leave);
  element.addEventListener('wheel', wheel, { passive: false });
  return () => {
    element.removeEventListener('pointerdown', down);
    element.removeEventListener('pointermove', move);
    element.removeEventListener('pointerup', up);
    element.removeEventListener('pointercancel', up);
    element.removeEventListener('pointerleave', leave);
    element.removeEventListener('wheel', wheel);
  };
}
