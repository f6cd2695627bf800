import { useState } from 'preact/hooks';
import { type Receipt, sendTests } from '../data/alarms.ts';
import { useWho } from '../data/who.ts';
import { SAY } from '../words.ts';
import type { Acting } from './alarm-acts.tsx';
import { AlarmRecord } from './alarm-record.tsx';
import { KeeperName } from './keeper-name.tsx';
import { OwnerCan } from './owner-can.tsx';
import type { Shown } from './shown.ts';
import { ThisBrowser } from './this-browser.tsx';

type TellingProps = Pick<Acting, 'keeper'> & { shown: Shown };

/** Who is told of alarms, whether it arrives, and all that was told. */
export function Telling({ shown, keeper }: TellingProps) {
  const { mayAct } = useWho();
  return (
    <section>
      <h2>{SAY.alarms.telling}</h2>
      {mayAct ? <Receivers {...{ shown, keeper }} /> : <OwnerCan what="telling" />}
      <AlarmRecord shown={shown} />
    </section>
  );
}

function Receivers({ shown, keeper }: TellingProps) {
  const say = SAY.alarms;
  const [said, setSaid] = useState<string[]>([]);
  const test = async () => {
    if (keeper.name === '') return setSaid([say.noName]);
    if (!shown.isLinked) return setSaid([say.notLinked]);
    setSaid([say.testUnderWay]);
    try {
      const receipts = await sendTests(shown.well.id, keeper.name);
      keeper.keep();
      setSaid(receipts.length === 0 ? [say.testNone] : receipts.map(receiptWords));
    } catch (error) {
      setSaid([say.failed(error)]);
    }
  };
  return (
    <>
      <p>{say.testNote}</p>
      <KeeperName keeper={keeper} />
      <div class="knobs">
        <button type="button" onClick={test}>
          {say.test}
        </button>
      </div>
      <div role="status">
        {said.map((line) => (
          <p key={line}>{line}</p>
        ))}
      </div>
      <ThisBrowser keeper={keeper} isLinked={shown.isLinked} />
    </>
  );
}

const receiptWords = ({ receiver, says }: Receipt): string =>
  says === null ? SAY.alarms.testOk(receiver) : SAY.alarms.testFailed(receiver, says);
