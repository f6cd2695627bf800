import type { ComponentChildren } from 'preact';
import { SAY } from '../words.ts';
import { SPANS_S } from './paper-window.ts';

interface ControlsProps {
  spanS: number;
  isPresent: boolean;
  label: string;
  actions: {
    earlier(): void;
    later(): void;
    closer(): void;
    wider(): void;
    present(): void;
    span(spanS: number): void;
  };
  children: ComponentChildren;
}

/** The knobs of the recorder, and the keys that do the same while one of them is held. */
export function RecorderControls({ spanS, isPresent, label, actions, children }: ControlsProps) {
  const say = SAY.recorder;
  const keys: Record<string, () => void> = {
    ArrowLeft: actions.earlier,
    ArrowRight: actions.later,
    '+': actions.closer,
    '=': actions.closer,
    '-': actions.wider,
    End: actions.present,
  };
  const onKeyDown = (event: KeyboardEvent) => {
    const act = keys[event.key];
    if (act === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.target instanceof HTMLSelectElement) return;
    event.preventDefault();
    act();
  };
  const fits = SPANS_S.find((one) => Math.abs(one / spanS - 1) < 0.01);
  return (
    // biome-ignore lint/a11y/useSemanticElements: a fieldset is for a form
    <div role="group" aria-label={label} onKeyDown={onKeyDown}>
      <div class="knobs">
        <button type="button" onClick={actions.earlier} aria-label={say.earlier}>
          ◁
        </button>
        <button type="button" onClick={actions.later} aria-label={say.later}>
          ▷
        </button>
        <label>
          <span class="spoken">{say.span}</span>
          <select
            value={fits === undefined ? '' : String(fits)}
            onChange={(event) => actions.span(Number(event.currentTarget.value))}
          >
            {fits === undefined && <option value="">…</option>}
            {SPANS_S.map((one) => (
              <option key={one} value={String(one)}>
                {say.spans[one]}
              </option>
            ))}
          </select>
        </label>
        <button type="button" onClick={actions.closer} aria-label={say.closer}>
          +
        </button>
        <button type="button" onClick={actions.wider} aria-label={say.wider}>
          −
        </button>
        <button type="button" onClick={actions.present} disabled={isPresent}>
          {say.present}
        </button>
      </div>
      {children}
      <p class="spoken">{say.keys}</p>
    </div>
  );
}
