import { useEffect, useState } from 'preact/hooks';
import { type PushState, pushState, tellNoMore, tellThisBrowser } from '../data/browser-push.ts';
import { SAY } from '../words.ts';
import type { Keeper } from './keeper-name.tsx';

interface Props {
  keeper: Keeper;
  isLinked: boolean;
}

/** Whether this browser is told of alarms, and the press that changes it. */
export function ThisBrowser({ keeper, isLinked }: Props) {
  const say = SAY.alarms;
  const [state, setState] = useState<PushState | null>(null);
  const [said, setSaid] = useState('');
  useEffect(() => {
    if (isLinked) pushState().then(setState, () => undefined);
  }, [isLinked]);
  const press = async (act: () => Promise<PushState>) => {
    if (keeper.name === '') return setSaid(say.noName);
    if (!isLinked) return setSaid(say.notLinked);
    try {
      setState(await act());
      keeper.keep();
      setSaid('');
    } catch (error) {
      setSaid(say.failed(error));
    }
  };
  return (
    <>
      {state !== null && <p role="status">{say.browser[state]}</p>}
      <div class="knobs">
        {state === 'not-told' && (
          <button type="button" onClick={() => press(() => tellThisBrowser(keeper.name))}>
            {say.tellBrowser}
          </button>
        )}
        {state === 'told' && (
          <button type="button" onClick={() => press(() => tellNoMore(keeper.name))}>
            {say.tellNoMore}
          </button>
        )}
      </div>
      <p role="status">{said}</p>
    </>
  );
}
