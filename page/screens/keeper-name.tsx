import { useState } from 'preact/hooks';
import { keepName, keptName } from '../data/keeper-name.ts';
import { useWho } from '../data/who.ts';
import { SAY } from '../words.ts';

const MOST_CHARS = 64;

export interface Keeper {
  name: string;
  /** As it is being typed. */
  typed: string;
  put(typed: string): void;
  /** Whether it is being typed rather than known. */
  open: boolean;
  /** null where it can be no other one. */
  reopen: (() => void) | null;
  /** It has been acted under, so it is kept. */
  keep(): void;
}

/** Who has signed in acts: nothing is to be typed or kept. */
const SIGNED_IN = { put() {}, open: false, reopen: null, keep() {} };

/** Who acts: who is signed in, else asked once, then known on this device. */
export function useKeeper(): Keeper {
  const [typed, put] = useState(keptName);
  const [open, setOpen] = useState(typed === '');
  const { signsIn, name: signedIn } = useWho();
  if (signsIn) return { ...SIGNED_IN, name: signedIn, typed: signedIn };
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
        {keeper.reopen !== null && (
          <button type="button" class="choose" onClick={keeper.reopen}>
            {say.otherName}
          </button>
        )}
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
