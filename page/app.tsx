import { useEffect, useState } from 'preact/hooks';
import type { Outline } from '../src/model/study.ts';
import type { Well } from '../src/model/well.ts';
import type { DeviceClock, WellNow } from '../src/model/well-now.ts';
import { localMoment } from '../src/report/moments.ts';
import { ask, ofWell, SESSION_OVER } from './data/api.ts';
import type { Listed } from './data/listed.ts';
import { useAsked } from './data/use-asked.ts';
import { type Live, useLive } from './data/use-live.ts';
import { figuresFor } from './parts/figures.ts';
import { lazily } from './parts/lazily.tsx';
import { clockTime, lengthWords } from './parts/times.ts';
import { AtTheWell } from './screens/at-the-well.tsx';
import { Chooser } from './screens/chooser.tsx';
import { Condition } from './screens/condition.tsx';
import { FirstSteps } from './screens/first-steps.tsx';
import { Runs } from './screens/runs.tsx';
import type { Shown } from './screens/shown.ts';
import { Water } from './screens/water.tsx';
import { SAY } from './words.ts';

const Tests = lazily(async () => (await import('./screens/tests.tsx')).Tests);
const Gauges = lazily(async () => (await import('./screens/gauges.tsx')).Gauges);
const WellBook = lazily(async () => (await import('./screens/book.tsx')).WellBook);
const BrokenWell = lazily(async () => (await import('./screens/broken-well.tsx')).BrokenWell);
const FirstVisit = lazily(async () => (await import('./screens/first-visit.tsx')).FirstVisit);

const SCREENS = {
  ...{ well: AtTheWell, runs: Runs, water: Water, condition: Condition },
  ...{ tests: Tests, gauges: Gauges, book: WellBook },
};
type Screen = keyof typeof SCREENS;
/** Sheets that there is work on before the first reading can be used. */
const BEFORE_READINGS: readonly Screen[] = ['tests', 'gauges', 'book'];
const NAMES = Object.keys(SCREENS) as Screen[];

interface Place {
  wellId: string | null;
  screen: Screen;
}

const placeOf = (path: string): Place => {
  const [, , wellId, screen] = path.split('/');
  const known = NAMES.find((name) => name === screen) ?? 'well';
  return { wellId: wellId ? decodeURIComponent(wellId) : null, screen: known };
};
const pathOf = (wellId: string, screen: Screen = 'well'): string =>
  `/wells/${wellId}${screen === 'well' ? '' : `/${screen}`}`;

/** Where one is, by the address; links of the page lead there without loading it anew. */
function usePlace(): Place {
  const [path, setPath] = useState(location.pathname);
  useEffect(() => {
    const back = () => setPath(location.pathname);
    const follow = (event: MouseEvent) => {
      const link = (event.target as Element | null)?.closest('a');
      if (link == null || event.defaultPrevented || event.button !== 0) return;
      if (event.ctrlKey || event.metaKey || event.shiftKey || link.origin !== location.origin)
        return;
      if (link.hash !== '' || link.download !== '' || link.pathname.startsWith('/api/')) return;
      event.preventDefault();
      history.pushState(null, '', link.pathname);
      setPath(link.pathname);
      globalThis.scrollTo(0, 0);
      document.querySelector<HTMLElement>('h1')?.focus();
    };
    globalThis.addEventListener('popstate', back);
    document.addEventListener('click', follow);
    return () => {
      globalThis.removeEventListener('popstate', back);
      document.removeEventListener('click', follow);
    };
  }, []);
  return placeOf(path);
}

export function App() {
  const live = useLive();
  useEffect(() => {
    // A stream that ends does not say why: the session may be over.
    if (live.link === 'lost') globalThis.dispatchEvent(new Event(SESSION_OVER));
  }, [live.link]);
  const place = usePlace();
  if (live.wells === null) return <Waiting live={live} />;
  if (live.wells.length === 0 || /^\/new\/?$/.test(location.pathname))
    return (
      <FirstVisit isFirst={live.wells.length === 0} onMade={(id) => location.assign(pathOf(id))} />
    );
  const only = live.wells.length === 1 ? live.wells[0]! : null;
  const listed = live.wells.find(({ well }) => well === place.wellId) ?? only;
  if (listed === null) return <Chooser live={live} pathOf={pathOf} />;
  const well = live.files.get(listed.well);
  const now = live.now.get(listed.well);
  if (listed.state === 'no-well-file')
    return <BrokenWell {...{ listed }} several={only === null} />;
  if (well === undefined || now === undefined) return <Plain says={listed.says ?? SAY.noFile} />;
  return (
    <OneWell
      key={well.id}
      {...{ live, listed, well, now, screen: place.screen }}
      several={only === null}
    />
  );
}

function Waiting({ live }: { live: Live }) {
  const lost = live.link === 'lost' || live.failure !== null;
  return <Plain says={lost ? SAY.notLiveNothing : SAY.reading} />;
}

function Plain({ says }: { says: string }) {
  return (
    <main class="plain" id="sheet">
      <h1>{SAY.product}</h1>
      <p role="status">{says}</p>
    </main>
  );
}

/** The first steps of a well stand on its first sheet for so long. */
const NEW_DAYS = 30;
const isNew = ({ first }: Listed, { lastReading }: WellNow): boolean =>
  first === null ||
  lastReading === null ||
  Date.parse(lastReading) - Date.parse(first) < NEW_DAYS * 86_400_000;

interface OneWellProps {
  live: Live;
  listed: Listed;
  well: Well;
  now: WellNow;
  screen: Screen;
  several: boolean;
}

function OneWell({ live, listed, well, now, screen, several }: OneWellProps) {
  const outline = useAsked(
    async () => (await ask<Outline>(ofWell(well.id, 'outline'))).body,
    [well.id, live.revision],
  ).value;
  const figures = figuresFor(well, outline);
  const isLinked = live.link !== 'lost' && live.keptAt === null;
  const shown: Shown = {
    well,
    now,
    outline,
    figures,
    isLive: isLinked && now.replay === null,
    isLinked,
    listed,
    reminders: live.reminders.get(well.id) ?? [],
    revision: live.revision,
    restated: live.restated,
    alarmed: live.alarmed,
  };
  const Sheet = SCREENS[screen];
  useEffect(() => {
    document.title = `${SAY.screens[screen]}, ${well.name}`;
  }, [screen, well.name]);
  return (
    <>
      <a class="skip" href="#sheet">
        {SAY.skip}
      </a>
      <TitleBlock {...{ live, well, now, screen, several }} />
      <Notices {...{ live, now, well, listed }} />
      <main id="sheet" class={`sheet ${screen}`}>
        <h1 tabIndex={-1}>{SAY.screens[screen]}</h1>
        {now.at !== null || BEFORE_READINGS.includes(screen) ? (
          <Sheet {...shown} />
        ) : (
          screen !== 'well' && <p role="status">{SAY.noReadings}</p>
        )}
        {screen === 'well' && isNew(listed, now) && <FirstSteps {...shown} />}
        <p class="caption advisory">{SAY.beforeUse}</p>
      </main>
    </>
  );
}

/** The title block of a drawing: whose well, which sheet, of when. */
function TitleBlock({ live, well, now, screen, several }: Omit<OneWellProps, 'listed'>) {
  const number = NAMES.indexOf(screen) + 1;
  return (
    <header class="title-block">
      <p class="cell name">
        <span class="caption">{SAY.wellLabel}</span>
        <strong>{well.name}</strong>
        {several && <a href="/">{SAY.allWells}</a>}
      </p>
      <nav class="cell sheets" aria-label={SAY.sheets}>
        <span class="caption">{SAY.sheet(number, NAMES.length)}</span>
        <ul>
          {NAMES.map((name) => (
            <li key={name}>
              <a href={pathOf(well.id, name)} aria-current={name === screen ? 'page' : undefined}>
                {SAY.screens[name]}
              </a>
            </li>
          ))}
        </ul>
      </nav>
      <p class={`cell link ${live.link}`}>
        <span class="caption">{SAY.recordLabel}</span>
        <strong role="status" aria-live="polite">
          {SAY.link[live.link]}
        </strong>
        {now.at !== null && <span>{SAY.upTo(clockTime(now.at, well.timeZone))}</span>}
      </p>
    </header>
  );
}

function clockWords({ device, behindS, apartUntil }: DeviceClock, zone: string): string {
  const says = SAY.clock(device, lengthWords(Math.abs(behindS)), behindS < 0);
  return apartUntil === null ? says : `${says} ${SAY.clockApart(localMoment(apartUntil, zone))}`;
}

/** What limits what is shown: no connection, a silent device, a wrong clock, the past read anew. */
function Notices({
  live,
  now,
  well,
  listed,
}: Pick<OneWellProps, 'live' | 'now' | 'well' | 'listed'>) {
  const zone = well.timeZone;
  const notices: string[] = [];
  if (live.link === 'lost' || live.keptAt !== null)
    notices.push(SAY.notLive(localMoment(now.at ?? live.keptAt ?? '1970-01-01T00:00:00Z', zone)));
  if (listed.state === 'failed') notices.push(SAY.failed(listed.says ?? ''));
  // How long would have to be counted on: nothing is told anew while a device stays silent.
  if (now.silence !== null) notices.push(SAY.silent(localMoment(now.silence.since, zone)));
  notices.push(...now.clocks.map((clock) => clockWords(clock, zone)));
  if (now.replay !== null) notices.push(SAY.replaying(localMoment(now.replay.at, zone)));
  return (
    <div class="notices" role="alert">
      {notices.map((one) => (
        <p key={one}>{one}</p>
      ))}
    </div>
  );
}
