import type { ComponentChildren } from 'preact';
import { signOut, useDoor, useWho, WhoLooks } from './data/who.ts';
import { SignIn } from './screens/sign-in.tsx';
import { SAY } from './words.ts';

/** Lets in who may look, and shows the page of the well then. */
export function Door({ children }: { children: ComponentChildren }) {
  const [who, setWho] = useDoor();
  if (who.who === null) return <SignIn onIn={setWho} />;
  return (
    <WhoLooks value={who}>
      {children}
      <WhoAmI onOut={() => setWho({ signIn: true, who: null })} />
    </WhoLooks>
  );
}

function WhoAmI({ onOut }: { onOut(): void }) {
  const { signsIn, name, mayAct } = useWho();
  if (!signsIn) return null;
  const { door } = SAY;
  return (
    <footer class="who">
      <span>{mayAct ? door.asOwner(name) : door.asReader(name)}</span>
      <button type="button" onClick={() => void signOut().then(onOut)}>
        {door.out}
      </button>
    </footer>
  );
}
