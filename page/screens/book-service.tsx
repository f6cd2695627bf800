import { ACT_CAUTIONS, type Action } from '../../src/model/cautions.ts';
import type { ResetKind } from '../../src/model/well.ts';
import { BOOK_WORDS } from '../../src/report/book-words.ts';
import { EQUIPMENT } from '../../src/report/equipment-rows.ts';
import { SAY } from '../words.ts';
import { Field } from './book-field.tsx';
import { Cautions } from './finding.tsx';

const say = SAY.book.write;
const RESETS = Object.entries(BOOK_WORDS.resets) as [ResetKind, string][];
const PARTS = Object.values(EQUIPMENT);

interface Holds {
  key: string;
  value: string;
  source: string;
}

/** A service as it is typed. */
export interface ServiceDone {
  did: string;
  resets: ResetKind[];
  holds: Holds[];
}

const NO_HOLDS: Holds = { key: '', value: '', source: 'nameplate' };
export const NOTHING_DONE: ServiceDone = { did: '', resets: [], holds: [NO_HOLDS] };

/** Work on each part can hurt; what must be known before stands beside it. */
const ACTS: Record<ResetKind, Action> = {
  tank: 'replace-tank',
  pump: 'open-well',
  well: 'open-well',
  switch: 'work-on-switch',
  'pressure-sensor': 'fit-pressure-sensor',
  'current-sensor': 'fit-current-clamp',
  plumbing: 'fit-pressure-sensor',
};

/** The values of a `[[service]]` beside its time. */
export function serviceValues({ did, resets, holds }: ServiceDone) {
  const now: Record<string, Record<string, { value: string; source: string }>> = {};
  for (const { key, value, source } of holds) {
    const [table = '', name = ''] = key.split('.');
    if (name !== '' && value.trim() !== '')
      now[table] = { ...now[table], [name]: { value: value.trim(), source } };
  }
  const isHeld = Object.keys(now).length > 0;
  return { did: did.trim(), resets, ...(isHeld && { now }) };
}

interface FieldsProps {
  done: ServiceDone;
  put(done: ServiceDone): void;
}

export function ServiceFields({ done, put }: FieldsProps) {
  const toggle = (reset: ResetKind) =>
    put({
      ...done,
      resets: done.resets.includes(reset)
        ? done.resets.filter((one) => one !== reset)
        : [...done.resets, reset],
    });
  const cautions = [...new Set(done.resets.flatMap((reset) => ACT_CAUTIONS[ACTS[reset]]))];
  return (
    <>
      <Field name={say.did}>
        <input
          type="text"
          maxLength={200}
          value={done.did}
          onInput={(event) => put({ ...done, did: event.currentTarget.value })}
        />
      </Field>
      <fieldset class="knobs by">
        <legend>{say.ends}</legend>
        {RESETS.map(([reset, name]) => (
          <label key={reset}>
            <input
              type="checkbox"
              checked={done.resets.includes(reset)}
              onChange={() => toggle(reset)}
            />
            {name}
          </label>
        ))}
      </fieldset>
      {cautions.length > 0 && (
        <div>
          <h3>{say.cautions}</h3>
          <Cautions ids={cautions} />
        </div>
      )}
      <HoldsFields {...{ done, put }} />
    </>
  );
}

/** What is there since: part, value with its unit, where that comes from. */
function HoldsFields({ done, put }: FieldsProps) {
  const { holds } = done;
  const change = (place: number, part: Partial<Holds>) =>
    put({ ...done, holds: holds.map((one, i) => (i === place ? { ...one, ...part } : one)) });
  return (
    <fieldset class="holds">
      <legend>{say.holds}</legend>
      {holds.map(({ key, value, source }, i) => (
        <div key={i} class="knobs">
          <select
            aria-label={say.part}
            value={key}
            onChange={(event) => change(i, { key: event.currentTarget.value })}
          >
            <option value="">{say.part}</option>
            {PARTS.map((part) => (
              <option key={part.key} value={part.key}>
                {part.name}
              </option>
            ))}
          </select>
          <input
            type="text"
            aria-label={say.value}
            placeholder={say.value}
            value={value}
            onInput={(event) => change(i, { value: event.currentTarget.value })}
          />
          <select
            aria-label={say.source}
            value={source}
            onChange={(event) => change(i, { source: event.currentTarget.value })}
          >
            {Object.entries(say.sources).map(([mark, name]) => (
              <option key={mark} value={mark}>
                {name}
              </option>
            ))}
          </select>
        </div>
      ))}
      <button type="button" onClick={() => put({ ...done, holds: [...holds, NO_HOLDS] })}>
        {say.another}
      </button>
    </fieldset>
  );
}
