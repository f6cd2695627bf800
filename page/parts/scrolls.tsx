import type { ComponentChildren } from 'preact';

interface ScrollsProps {
  label: string;
  children: ComponentChildren;
}

/** What may be wider than the screen, and is moved sideways by finger or arrow keys. */
export function Scrolls({ label, children }: ScrollsProps) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reached by keys
    <section class="scrolls" tabIndex={0} aria-label={label}>
      {children}
    </section>
  );
}
