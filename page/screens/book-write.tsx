import { useState } from 'preact/hooks';
import type { WellFileIssue } from '../../src/wellfile/issue.ts';
import { Refused } from '../data/api.ts';
import { smallPhoto } from '../data/small-photo.ts';
import { addBlock, putNote } from '../data/well-book.ts';
import { instantOfWall, wallTime } from '../parts/wall-time.ts';
import { SAY } from '../words.ts';
import { Field } from './book-field.tsx';
import { NOTHING_DONE, type ServiceDone, ServiceFields, serviceValues } from './book-service.tsx';
import { type Keeper, KeeperName } from './keeper-name.tsx';
import { lastOf, type Shown } from './shown.ts';

const say = SAY.book.write;
/** The part of the sheet where something is written into the book. */
export const WRITE_PLACE = 'write';
const KINDS = ['note', 'sample', 'service'] as const;
export type Kind = (typeof KINDS)[number];

interface Draft {
  when: string;
  says: string;
  photos: File[];
  service: ServiceDone;
}

interface WriteProps {
  shown: Shown;
  keeper: Keeper;
  kind: Kind;
  putKind(kind: Kind): void;
}

type Said = { says: string; issues: readonly WellFileIssue[] } | null;

/** A note, a water sample or a service, with when and by whom. */
export function BookWrite({ shown, keeper, kind, putKind }: WriteProps) {
  const { well } = shown;
  const empty = (): Draft => ({
    when: wallTime(lastOf(shown) || Date.now() / 1000, well.timeZone),
    says: '',
    photos: [],
    service: NOTHING_DONE,
  });
  const [draft, setDraft] = useState(empty);
  const [said, setSaid] = useState<Said>(null);
  const change = (part: Partial<Draft>) => setDraft((before) => ({ ...before, ...part }));
  const put = async (event: Event) => {
    event.preventDefault();
    const on = instantOfWall(draft.when, well.timeZone);
    const lacks = lacking(kind, draft, { by: keeper.name, on });
    if (lacks !== null || on === null) return setSaid({ says: lacks ?? '', issues: [] });
    setSaid({ says: say.underWay, issues: [] });
    try {
      await write(well.id, kind, draft, { by: keeper.name, on });
      keeper.keep();
      setDraft(empty());
      setSaid({ says: say.done, issues: [] });
    } catch (error) {
      setSaid(failure(error));
    }
  };
  return (
    <section class="write" id={WRITE_PLACE}>
      <h2>{say.title}</h2>
      <form onSubmit={put}>
        <Kinds kind={kind} put={putKind} />
        <Field name={say.when(well.timeZone)}>
          <input
            type="datetime-local"
            value={draft.when}
            onInput={(event) => change({ when: event.currentTarget.value })}
          />
        </Field>
        {kind === 'service' ? (
          <ServiceFields done={draft.service} put={(service) => change({ service })} />
        ) : (
          <NoteFields {...{ draft, change }} />
        )}
        <KeeperName keeper={keeper} />
        <div class="knobs">
          <button type="submit">{say.put}</button>
        </div>
        <div role="status">{said !== null && <SaidOf {...said} />}</div>
      </form>
    </section>
  );
}

function Kinds({ kind, put }: { kind: Kind; put(kind: Kind): void }) {
  return (
    <fieldset class="knobs by">
      <legend>{say.what}</legend>
      {KINDS.map((one) => (
        <label key={one}>
          <input type="radio" name="kind" checked={kind === one} onChange={() => put(one)} />
          {say[one]}
        </label>
      ))}
    </fieldset>
  );
}

function NoteFields({ draft, change }: { draft: Draft; change(part: Partial<Draft>): void }) {
  return (
    <>
      <Field name={say.says}>
        <textarea
          rows={3}
          maxLength={4000}
          value={draft.says}
          onInput={(event) => change({ says: event.currentTarget.value })}
        />
      </Field>
      <Field name={say.photos}>
        <input
          // Emptied once what was chosen is in the book.
          key={draft.when + draft.photos.length}
          type="file"
          multiple
          accept="image/jpeg,image/png,image/webp"
          onChange={(event) => change({ photos: [...(event.currentTarget.files ?? [])] })}
        />
      </Field>
      {draft.photos.length > 0 && (
        <ul class="caption">
          {draft.photos.map(({ name }) => (
            <li key={name}>{name}</li>
          ))}
        </ul>
      )}
    </>
  );
}

function SaidOf({ says, issues }: NonNullable<Said>) {
  return (
    <>
      <p>{says}</p>
      {issues.length > 0 && (
        <ul>
          {issues.map(({ key, expected, found }) => (
            <li key={key + expected}>
              {key}: {say.expected(expected, found)}
            </li>
          ))}
        </ul>
      )}
    </>
  );
}

function lacking(
  kind: Kind,
  { says, photos, when }: Draft,
  { by, on }: { by: string; on: string | null },
) {
  if (by === '') return say.noName;
  if (when === '' || on === null) return say.noTime;
  return kind === 'note' && says.trim() === '' && photos.length === 0 ? say.noWords : null;
}

async function write(
  wellId: string,
  kind: Kind,
  { says, photos, service }: Draft,
  { by, on }: { by: string; on: string },
) {
  if (kind === 'service') {
    const values = { on, ...serviceValues(service) };
    await addBlock(wellId, { by, table: 'service', values });
    return;
  }
  const about = kind === 'sample' ? 'water-sample' : 'other';
  const small = await Promise.all(photos.map(smallPhoto));
  await putNote(wellId, { by, on, about, says: says.trim(), photos: small });
}

function failure(error: unknown): NonNullable<Said> {
  if (error instanceof Refused && error.issues.length > 0)
    return { says: say.wrong, issues: error.issues };
  return { says: say.failed(error instanceof Error ? error.message : String(error)), issues: [] };
}
