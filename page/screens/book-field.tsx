import type { ComponentChildren } from 'preact';

/** A field under its name. */
export const Field = ({ name, children }: { name: string; children: ComponentChildren }) => (
  // biome-ignore lint/a11y/noLabelWithoutControl: the field is its child.
  <label class="field">
    <span>{name}</span>
    {children}
  </label>
);
