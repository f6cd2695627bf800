import { localMoment } from '../../src/report/moments.ts';
import type { Listed } from '../data/listed.ts';
import type { Live } from '../data/use-live.ts';
import { figuresFor } from '../parts/figures.ts';
import { rankOf, standingOf } from '../parts/standing.ts';
import { SAY } from '../words.ts';

/** Several wells, the one that asks for most first. */
export function Chooser({ live, pathOf }: { live: Live; pathOf(wellId: string): string }) {
  // One that cannot even be looked at comes before all that can wait.
  const rank = ({ well, state }: Listed) =>
    state === 'no-well-file' ? -1 : rankOf(live.now.get(well));
  const wells = (live.wells ?? []).toSorted((a, b) => rank(a) - rank(b));
  const isLive = live.link !== 'lost' && live.keptAt === null;
  return (
    <main id="sheet" class="sheet chooser">
      <h1 tabIndex={-1}>{SAY.choose}</h1>
      <p>{SAY.chooseNote}</p>
      <p role="status">{live.link === 'lost' ? SAY.link.lost : ''}</p>
      <ul class="wells">
        {wells.map(({ well: id, name, state, says, last }) => {
          const isBroken = state === 'no-well-file';
          const [well, now] = [live.files.get(id), live.now.get(id)];
          const standing =
            well === undefined || now === undefined || now.at === null
              ? null
              : standingOf(now, well, {
                  isLive: isLive && now.replay === null,
                  figures: figuresFor(well, null),
                });
          return (
            <li key={id} class={isBroken ? 'asks' : (standing?.state ?? 'unknown')}>
              <a href={pathOf(id)}>{name ?? id}</a>
              <p>
                {isBroken
                  ? SAY.book.broken.short
                  : standing === null
                    ? (says ?? (now === undefined ? SAY.reading : SAY.noReadings))
                    : `${standing.water} ${standing.todo}`}
              </p>
              {last !== null && well !== undefined && (
                <p class="caption">
                  {SAY.lastReading}: {localMoment(last, well.timeZone)}
                </p>
              )}
            </li>
          );
        })}
      </ul>
      <p>
        <a href="/new">{SAY.work.visit.add}</a>
      </p>
    </main>
  );
}
