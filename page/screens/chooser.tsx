import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
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
    state === 'no-well-file' ? -1 : rankOf(live.now.get(well), live.reminders.get(well) ?? []);
  const wells = (live.wells ?? []).toSorted((a, b) => rank(a) - rank(b));
  const order = wells.map(({ well }) => well).join(' ');
  const [list, says] = useOrder(order, wells[0]);
  return (
    <main id="sheet" class="sheet chooser">
      <h1 tabIndex={-1}>{SAY.choose}</h1>
      <p>{SAY.chooseNote}</p>
      <p role="status">{live.link === 'lost' ? SAY.link.lost : says}</p>
      <ul class="wells" ref={list}>
        {wells.map((listed) => (
          <OfWell key={listed.well} {...{ listed, live }} path={pathOf(listed.well)} />
        ))}
      </ul>
      <p>
        <a href="/new">{SAY.work.visit.add}</a>
      </p>
    </main>
  );
}

/** A change of the order is said while somebody reads it, and what has the focus keeps it. */
function useOrder(order: string, first: Listed | undefined) {
  const list = useRef<HTMLUListElement>(null);
  const before = useRef(order);
  const [says, setSays] = useState('');
  // A link that is put elsewhere loses the focus on the way.
  const focused = document.activeElement as HTMLElement | null;
  useLayoutEffect(() => {
    if (list.current?.contains(focused)) focused?.focus({ preventScroll: true });
  }, [order]);
  useEffect(() => {
    if (before.current !== order) setSays(SAY.reordered(first?.name ?? first?.well ?? ''));
    before.current = order;
  }, [order]);
  return [list, says] as const;
}

function OfWell({ listed, live, path }: { listed: Listed; live: Live; path: string }) {
  const { well: id, name, state, says, last } = listed;
  const isBroken = state === 'no-well-file';
  const [well, now] = [live.files.get(id), live.now.get(id)];
  const isLive = live.link !== 'lost' && live.keptAt === null;
  const standing =
    well === undefined || now === undefined || now.at === null
      ? null
      : standingOf(now, well, {
          isLive: isLive && now.replay === null,
          figures: figuresFor(well, null),
          reminders: live.reminders.get(id) ?? [],
        });
  return (
    <li class={isBroken ? 'asks' : (standing?.state ?? 'unknown')}>
      <a href={path}>{name ?? id}</a>
      <p>
        {isBroken
          ? SAY.book.broken.short
          : standing === null
            ? (says ?? (now === undefined ? SAY.reading : SAY.noReadings))
            : `${standing.water} ${standing.todo}`}
      </p>
      {standing?.asks.due && (
        <p>
          <a href={`${path}/book`}>{SAY.todo.dueLink}</a>
        </p>
      )}
      {last !== null && well !== undefined && (
        <p class="caption">
          {SAY.lastReading}: {localMoment(last, well.timeZone)}
        </p>
      )}
    </li>
  );
}
