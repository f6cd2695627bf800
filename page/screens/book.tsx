import { useState } from 'preact/hooks';
import { bookRows } from '../../src/report/book-rows.ts';
import { useAsked } from '../data/use-asked.ts';
import { askJournal } from '../data/well-book.ts';
import { useWho } from '../data/who.ts';
import { SAY } from '../words.ts';
import { BookDue } from './book-due.tsx';
import { BookFile } from './book-file.tsx';
import { BookList } from './book-list.tsx';
import { BookWrite, type Kind } from './book-write.tsx';
import { ContractorPage } from './contractor-page.tsx';
import { DeclaredWork } from './declared-work.tsx';
import { useKeeper } from './keeper-name.tsx';
import { OwnerCan } from './owner-can.tsx';
import { lastOf, type Shown } from './shown.ts';
import { TakeAway } from './take-away.tsx';

/** What was done to the well, what comes round, and the file that all of it stands on. */
export function WellBook(shown: Shown) {
  const { well, outline, figures, revision, reminders } = shown;
  const keeper = useKeeper();
  const { mayAct } = useWho();
  const [kind, putKind] = useState<Kind>('note');
  const asked = useAsked(() => askJournal(well.id), [well.id, revision]);
  const entries = asked.value;
  if (entries === null)
    return (
      <p role="status">{asked.failure === null ? SAY.reading : SAY.notAnswered(asked.failure)}</p>
    );
  const rows = bookRows({ well, entries, tests: outline?.tests ?? [], figures });
  const nowS = lastOf(shown) || Date.parse(entries.at(-1)?.at ?? '') / 1000 || 0;
  return (
    <>
      <div class="book-top">
        {mayAct ? <BookWrite {...{ shown, keeper, kind, putKind }} /> : <OwnerCan what="book" />}
        <BookDue
          all={reminders}
          sample={mayAct ? () => putKind('sample') : null}
          {...{ well, nowS }}
        />
      </div>
      <DeclaredWork {...{ shown, keeper }} />
      <ContractorPage wellId={well.id} />
      <BookList rows={rows} shown={shown} />
      <TakeAway wellId={well.id} keeper={keeper} />
      <BookFile wellId={well.id} keeper={keeper} />
    </>
  );
}
