import { useState } from 'preact/hooks';
import type { Gauge as Channel, GaugeNow } from '../../src/guided/gauges.ts';
import { calibrate, useOf } from '../../src/instruments/index.ts';
import { ACT_CAUTIONS } from '../../src/model/cautions.ts';
import { gauge } from '../../src/report/figures.ts';
import { localMoment } from '../../src/report/moments.ts';
import { ofWell } from '../data/api.ts';
import { calibratedBy } from '../data/calibrated.ts';
import { usePolled } from '../data/use-polled.ts';
import { useWho } from '../data/who.ts';
import { rawText } from '../parts/figures.ts';
import { lazily } from '../parts/lazily.tsx';
import { SAY as PAGE } from '../words.ts';
import { Calibration } from './calibration.tsx';
import { Chain } from './chain.tsx';
import { Cautions } from './finding.tsx';
import { OwnerCan } from './owner-can.tsx';
import { Pairing } from './pairing.tsx';
import type { Shown } from './shown.ts';

const SAY = PAGE.work.gauges;

const Installation = lazily(async () => (await import('./installation.tsx')).Installation);

/** The measuring chain, and each channel beside a gauge. */
export function Gauges(shown: Shown) {
  const { well } = shown;
  const { signsIn, mayAct } = useWho();
  const path = ofWell(well.id, 'gauges');
  const [opened, setOpened] = useState(false);
  const { value, unread, refused, act } = usePolled<{ gauges: GaugeNow[] }>(path);
  if (value === null) return <p role="status">{unread ?? PAGE.reading}</p>;
  return (
    <>
      <p class="refused" role="alert">
        {refused ?? ''}
      </p>
      <OwnerCan what="gauges" />
      {value.gauges.map((one) => (
        <OneGauge
          key={one.channel}
          {...{ one, shown, path }}
          act={(what, asked) => act(`${path}/${what}`, { channel: one.channel, ...asked })}
        />
      ))}
      <Chain well={well} />
      <section>
        <h2>{PAGE.work.installation.title}</h2>
        <details onToggle={(event) => event.currentTarget.open && setOpened(true)}>
          <summary>{PAGE.work.installation.open}</summary>
          {opened && <Installation well={well} />}
        </details>
      </section>
      {signsIn && mayAct && <Pairing well={well} />}
    </>
  );
}

interface Props {
  one: GaugeNow;
  shown: Shown;
  path: string;
  act(what: string, asked: object): Promise<boolean>;
}

function OneGauge({ one, shown, path, act }: Props) {
  const { well, figures } = shown;
  const { channel, raw, now, plain, inForce, pairs } = one;
  const { mayAct } = useWho();
  const reads = now === null ? null : calibratedBy(well, channel, now.value);
  const acts = channel === 'pressure' ? 'compare-pressure-gauge' : 'read-clamp-meter';
  return (
    <section aria-label={SAY.title[channel]}>
      <h2>{SAY.title[channel]}</h2>
      {now === null && (
        <p>
          {plain === null
            ? SAY.nothing
            : SAY.plain(gauge(plain, channel, figures), SAY.beside[channel])}
        </p>
      )}
      {(now !== null || pairs !== null) && (
        <dl class="notes">
          <div>
            <dt>{SAY.raw}</dt>
            <dd>
              {now === null ? SAY.rawNone : rawText(now.value, raw)}
              {now !== null && now.count > 1 && (
                <small> {SAY.rawScatter(rawText(now.scatter, raw, 2), now.count)}</small>
              )}
            </dd>
          </div>
          <div>
            <dt>{SAY.reads}</dt>
            <dd>
              {reads === null ? PAGE.figures.plainNotKnown : gauge(reads, channel, figures)}
              <small>
                {' '}
                {inForce === null
                  ? SAY.notInForce
                  : SAY.inForce(localMoment(inForce.from, figures.zone))}
              </small>
            </dd>
          </div>
        </dl>
      )}
      {mayAct && pairs === null && now !== null && (
        <button type="button" class="press" onClick={() => act('begin', {})}>
          {SAY.begin[channel]}
        </button>
      )}
      {mayAct && pairs !== null && (
        <>
          <p>{SAY.begun}</p>
          <Cautions ids={ACT_CAUTIONS[acts]} />
          <Take {...{ channel, act }} units={well.units} />
          <Calibration
            {...{ one, pairs, shown, path, act }}
            beside={ACT_CAUTIONS[acts]}
            report={calibrate(pairs, {
              ...{ channel, raw, units: well.units },
              use: useOf(well, channel),
            })}
          />
        </>
      )}
    </section>
  );
}

interface TakeProps {
  channel: Channel;
  act: Props['act'];
  units: 'us' | 'si';
}

function Take({ channel, act, units }: TakeProps) {
  const [reference, setReference] = useState('');
  const [uncertainty, setUncertainty] = useState('');
  const id = `reference-${channel}`;
  const example = channel === 'current' ? '8.2 A' : units === 'us' ? '40 psi' : '280 kPa';
  const send = async (event: Event) => {
    event.preventDefault();
    if (await act('point', { reference, uncertainty })) setReference('');
  };
  return (
    <form class="figure" onSubmit={send}>
      <label for={id}>
        {SAY.reference[channel]}
        <small>{PAGE.work.tests.withUnit(example)}</small>
      </label>
      <input
        id={id}
        value={reference}
        autocomplete="off"
        onInput={(event) => setReference(event.currentTarget.value)}
      />
      <label for={`${id}-std`}>
        <small>{SAY.uncertainty}</small>
      </label>
      <input
        id={`${id}-std`}
        value={uncertainty}
        autocomplete="off"
        size={8}
        onInput={(event) => setUncertainty(event.currentTarget.value)}
      />
      <button type="submit" class="first" disabled={reference.trim() === ''}>
        {SAY.take}
      </button>
    </form>
  );
}
