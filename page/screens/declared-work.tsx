import { useRef, useState } from 'preact/hooks';
import { LONGEST_SERVICE_S, SERVICE_S } from '../../src/alarms/rules.ts';
import { localMoment } from '../../src/report/moments.ts';
import { askAlarms, declareWork, endWork } from '../data/alarms.ts';
import { useAsked } from '../data/use-asked.ts';
import { useWho } from '../data/who.ts';
import { SAY } from '../words.ts';
import { Field } from './book-field.tsx';
import { type Keeper, KeeperName } from './keeper-name.tsx';
import type { Shown } from './shown.ts';

const say = SAY.alarms.declare;
const MOST_HOURS = LONGEST_SERVICE_S / 3600;
const HOURS = [1, 2, SERVICE_S / 3600, 8, MOST_HOURS];

interface Props {
  shown: Shown;
  keeper: Keeper;
}

/** Work on the well: declared with its end, so that nobody is told of what it looks like. */
export function DeclaredWork({ shown, keeper }: Props) {
  const { well, figures } = shown;
  const { mayAct } = useWho();
  const [acted, setActed] = useState(0);
  const [said, setSaid] = useState('');
  const answer = useRef<HTMLParagraphElement>(null);
  const alarms = useAsked(() => askAlarms(well.id), [well.id, shown.alarmed, acted]);
  const service = alarms.value?.service ?? null;
  const wish = async (act: (by: string) => Promise<unknown>, done: string) => {
    if (keeper.name === '') return setSaid(SAY.alarms.noName);
    try {
      await act(keeper.name);
      keeper.keep();
      setSaid(done);
      setActed((before) => before + 1);
      // The button that was pressed is gone with what it did.
      answer.current?.focus();
    } catch (error) {
      setSaid(SAY.alarms.failed(error));
    }
  };
  const begin = (asked: Asked) => wish((by) => declareWork(well.id, { ...asked, by }), say.begun);
  const { did = '', by = '', until = '' } = service ?? {};
  return (
    <section class="work" aria-label={say.title}>
      <h2>{say.title}</h2>
      {alarms.failure !== null && <p>{SAY.alarms.unread(alarms.failure)}</p>}
      {alarms.value !== null && (
        <p>
          {service === null ? say.none : SAY.alarms.work(did, by, localMoment(until, figures.zone))}
        </p>
      )}
      {mayAct && alarms.value !== null && service === null && <Begin {...{ keeper, begin }} />}
      {mayAct && service !== null && (
        <>
          <KeeperName keeper={keeper} />
          <div class="knobs">
            <button type="button" onClick={() => wish((name) => endWork(well.id, name), say.ended)}>
              {say.end}
            </button>
          </div>
        </>
      )}
      <p role="status" tabIndex={-1} ref={answer}>
        {said}
      </p>
    </section>
  );
}

interface Asked {
  did: string;
  hours: number;
}

function Begin({ keeper, begin }: Pick<Props, 'keeper'> & { begin(asked: Asked): void }) {
  const [open, setOpen] = useState(false);
  const [did, setDid] = useState('');
  const [hours, setHours] = useState(SERVICE_S / 3600);
  const send = (event: Event) => {
    event.preventDefault();
    begin({ did: did.trim(), hours });
  };
  if (!open)
    return (
      <div class="knobs">
        <button type="button" onClick={() => setOpen(true)}>
          {say.open}
        </button>
      </div>
    );
  return (
    <form onSubmit={send}>
      <p>{say.note}</p>
      <Field name={say.did}>
        <input
          type="text"
          maxLength={200}
          value={did}
          onInput={(event) => setDid(event.currentTarget.value)}
        />
      </Field>
      <Field name={say.hours}>
        <select
          value={String(hours)}
          onChange={(event) => setHours(Number(event.currentTarget.value))}
        >
          {HOURS.map((one) => (
            <option key={one} value={String(one)}>
              {SAY.alarms.hours(one)}
            </option>
          ))}
        </select>
      </Field>
      <KeeperName keeper={keeper} />
      <div class="knobs">
        <button type="submit" disabled={did.trim() === ''}>
          {say.begin}
        </button>
      </div>
    </form>
  );
}
