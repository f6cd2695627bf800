import { useRef, useState } from 'preact/hooks';
import { longestShelfS } from '../../src/alarms/rules.ts';
import type { ShownAlarm } from '../../src/alarms/shown.ts';
import { faultWords } from '../../src/report/head.ts';
import { localMoment } from '../../src/report/moments.ts';
import { type Act, act } from '../data/alarms.ts';
import { useWho } from '../data/who.ts';
import { SAY } from '../words.ts';
import { type Keeper, KeeperName } from './keeper-name.tsx';
import { OwnerCan } from './owner-can.tsx';
import type { Shown } from './shown.ts';

/** Hours that an alarm can be shelved for, those that its urgency allows. */
const SHELF_HOURS = [1, 4, 12, 24, 72, 168, 720];

/** What acting on an alarm takes. */
export interface Acting {
  keeper: Keeper;
  /** Something was done: what stands is to be asked anew. */
  onActed(): void;
}

interface ActsProps extends Acting {
  alarm: ShownAlarm;
  shown: Shown;
}

/** How an alarm stands with those who are told of it, and what a keeper can do about it. */
export function AlarmActs(props: ActsProps) {
  const { alarm, shown } = props;
  const { mayAct } = useWho();
  const say = SAY.alarms;
  return (
    <div class="alarm">
      <h4>{say.title}</h4>
      <ul class="plain-list">
        {statesOf(alarm, shown.figures.zone).map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
      {mayAct ? <Buttons {...props} /> : <OwnerCan what="alarms" />}
    </div>
  );
}

function statesOf(alarm: ShownAlarm, zone: string): string[] {
  const say = SAY.alarms;
  const { state, acknowledged, shelved, suppressed, hiddenBy, times } = alarm;
  const at = (instant: string) => localMoment(instant, zone);
  const lines: string[] = [
    state === 'acknowledged' && acknowledged !== null
      ? say.seenBy(acknowledged.by, at(acknowledged.at))
      : say.state[state],
  ];
  if (shelved !== null) lines.push(say.shelvedBy(shelved.by, at(shelved.until)));
  if (suppressed?.by === 'service') lines.push(say.underService);
  if (suppressed?.by === 'root') lines.push(say.underRoot(faultWords(suppressed.root ?? '')));
  if (hiddenBy !== null) lines.push(say.hidden(faultWords(hiddenBy)));
  if (times > 1) lines.push(say.times(times));
  return lines;
}

/** The acts that are possible with it now, and what became of the last one. */
function Buttons({ alarm, shown, keeper, onActed }: ActsProps) {
  const say = SAY.alarms;
  const [said, setSaid] = useState('');
  const [hours, setHours] = useState(SHELF_HOURS[1]!);
  const answer = useRef<HTMLParagraphElement>(null);
  const { state, shelved, urgency } = alarm;
  const allowed = SHELF_HOURS.filter((one) => one * 3600 <= longestShelfS(urgency));
  const isUnseen = state === 'unacknowledged' || state === 'returned-unacknowledged';
  const wish = async (what: Act) => {
    if (keeper.name === '') return setSaid(say.noName);
    if (!shown.isLinked) return setSaid(say.notLinked);
    const asked = { by: keeper.name, ...(what === 'shelve' ? { hours } : {}) };
    try {
      await act({ wellId: shown.well.id, alarm: alarm.id }, what, asked);
      keeper.keep();
      setSaid(say.done[what]);
      // The button that was pressed may be gone with what it did.
      answer.current?.focus();
      onActed();
    } catch (error) {
      setSaid(say.failed(error));
    }
  };
  return (
    <fieldset class="acts">
      <legend class="spoken">{say.acts(alarm.title)}</legend>
      <KeeperName keeper={keeper} />
      <div class="knobs">
        {isUnseen && (
          <button type="button" onClick={() => wish('acknowledge')}>
            {say.acknowledge}
          </button>
        )}
        {shelved === null ? (
          <>
            <button type="button" onClick={() => wish('shelve')}>
              {say.shelve}
            </button>
            <label>
              {say.shelveFor}{' '}
              <select
                value={String(hours)}
                onChange={(event) => setHours(Number(event.currentTarget.value))}
              >
                {allowed.map((one) => (
                  <option key={one} value={String(one)}>
                    {say.hours(one)}
                  </option>
                ))}
              </select>
            </label>
          </>
        ) : (
          <button type="button" onClick={() => wish('unshelve')}>
            {say.unshelve}
          </button>
        )}
      </div>
      <p role="status" tabIndex={-1} ref={answer}>
        {said}
      </p>
    </fieldset>
  );
}
