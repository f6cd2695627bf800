import { useState } from 'preact/hooks';
import { keepName, keptName } from '../data/keeper-name.ts';
import { SAY } from '../words.ts';

const MOST_CHARS = 64;

export interface Keeper {
  name: string;
  /** As it is being typed. */
  typed: string;
  put(typed: string): void;
  /** Whether it is being typed rather than known. */
  open: boolean;
  reopen(): void;
  /** It has been acted under, so it is kept. */
  keep(): void;
}

/** Who acts: asked once, then known on this device. */
export function useKeeper(): Keeper {
  const [typed, put] = useState(keptName);
  const [open, setOpen] = useState(typed === '');
  const name = typed.trim();
  return {
    ...{ name, typed, put },
    open,
    reopen: () => setOpen(true),
    keep: () => {
      keepName(name);
      setOpen(false);
    },
  };
}

export function KeeperName({ keeper }: { keeper: Keeper }) {
  const say = SAY.alarms;
  if (!keeper.open)
    return (
      <span class="keeper">
        {say.asName(keeper.name)}{' '}
        <button type="button" class="choose" onClick={keeper.reopen}>
          {say.otherName}
        </button>
      </span>
    );
  return (
    <label class="keeper">
      {say.name}{' '}
      <input
        type="text"
        autocomplete="name"
        maxLength={MOST_CHARS}
        value={keeper.typed}
        onInput={(event) => keeper.put(event.currentTarget.value)}
      />
    </label>
  );
}
