import type { BookRow } from '../../src/report/book-rows.ts';
import { BOOK_WORDS } from '../../src/report/book-words.ts';
import { photoAddress } from '../data/well-book.ts';
import { dateTime } from '../parts/times.ts';
import { SAY } from '../words.ts';
import type { Shown } from './shown.ts';

const say = SAY.book.list;
const TO_THE_MINUTE_S = 86_400;

/** One list by time, the newest first, as a driller keeps his book. */
export function BookList({ rows, shown }: { rows: readonly BookRow[]; shown: Shown }) {
  const { well } = shown;
  return (
    <section>
      <h2>{say.title}</h2>
      {rows.length === 0 ? (
        <p role="status">{say.none}</p>
      ) : (
        <table class="ledger book">
          <thead>
            <tr>
              {Object.values(say.columns).map((name) => (
                <th key={name} scope="col">
                  {name}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {rows.toReversed().map((row) => (
              <tr key={row.id}>
                <td>{dateTime(row.onS, well.timeZone, TO_THE_MINUTE_S)}</td>
                <td>{BOOK_WORDS.kinds[row.kind]}</td>
                <td>
                  <What row={row} wellId={well.id} />
                </td>
                <td>{row.by ?? ''}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </section>
  );
}

function What({ row, wellId }: { row: BookRow; wellId: string }) {
  const { id, title, says, photos } = row;
  return (
    <>
      <span class="said">{title}</span>
      {says.map((one) => (
        <span key={one} class="said more-said">
          {one}
        </span>
      ))}
      {photos.length > 0 && (
        <span class="photos">
          {photos.map(({ widthPx, heightPx }, place) => {
            const address = photoAddress(wellId, id, place);
            return (
              <a key={address} href={address}>
                <img
                  src={address}
                  alt={say.photo(place + 1, title)}
                  width={widthPx}
                  height={heightPx}
                  loading="lazy"
                />
              </a>
            );
          })}
        </span>
      )}
    </>
  );
}
