import type { TargetedSubmitEvent } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { Refused } from '../data/api.ts';
import { signIn } from '../data/who.ts';
import { SAY } from '../words.ts';

const { door } = SAY;

interface SignInProps {
  /** Whoever it was let in as. */
  onIn(who: Awaited<ReturnType<typeof signIn>>): void;
}

/** Where one says who one is; nothing of any well is shown before. */
export function SignIn({ onIn }: SignInProps) {
  const [says, setSays] = useState('');
  const [isAsking, setAsking] = useState(false);
  useEffect(() => {
    document.title = `${door.title}, ${SAY.product}`;
  }, []);
  const ask = async (event: TargetedSubmitEvent<HTMLFormElement>) => {
    event.preventDefault();
    const given = new FormData(event.currentTarget);
    setAsking(true);
    setSays(door.asking);
    try {
      onIn(await signIn(String(given.get('name')), String(given.get('passphrase'))));
    } catch (error) {
      const code = error instanceof Refused ? error.code : '';
      setSays(door.refused[code] ?? door.notReached);
      setAsking(false);
    }
  };
  return (
    <main class="plain sign-in" id="sheet">
      <h1>{SAY.product}</h1>
      <h2>{door.title}</h2>
      <form onSubmit={ask}>
        <label class="caption" for="name">
          {door.name}
        </label>
        <input id="name" name="name" autocomplete="username" autocapitalize="none" required />
        <label class="caption" for="passphrase">
          {door.passphrase}
        </label>
        <input
          id="passphrase"
          name="passphrase"
          type="password"
          autocomplete="current-password"
          required
        />
        <button type="submit" disabled={isAsking}>
          {door.in}
        </button>
      </form>
      <p role="status">{says}</p>
      <p class="caption">{door.note}</p>
    </main>
  );
}
