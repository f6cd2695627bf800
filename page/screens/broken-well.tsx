import type { Listed } from '../data/listed.ts';
import { SAY } from '../words.ts';
import { FileText } from './book-file.tsx';
import { useKeeper } from './keeper-name.tsx';

const say = SAY.book.broken;

/** A well whose file cannot be used since the service began: what is wrong in it, to be mended. */
export function BrokenWell({ listed, several }: { listed: Listed; several: boolean }) {
  const keeper = useKeeper();
  return (
    <main class="sheet book" id="sheet">
      <h1 tabIndex={-1}>{say.title(listed.name ?? listed.well)}</h1>
      {several && (
        <p>
          <a href="/">{SAY.allWells}</a>
        </p>
      )}
      <p>{say.note(listed.readings)}</p>
      <section class="well-file">
        <h2>{SAY.book.file.title}</h2>
        <FileText wellId={listed.well} keeper={keeper} />
      </section>
      <p class="caption advisory">{SAY.beforeUse}</p>
    </main>
  );
}
