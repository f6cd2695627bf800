import { useWho } from '../data/who.ts';
import { SAY } from '../words.ts';

/** A plain line in place of acts, for who looks only: what the owner can do here. */
export function OwnerCan({ what }: { what: keyof typeof SAY.door.ownerCan }) {
  const { mayAct } = useWho();
  return mayAct ? null : <p class="caption">{SAY.door.ownerCan[what]}</p>;
}
