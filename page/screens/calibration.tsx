import { useState } from 'preact/hooks';
import type { Both, Compared, Figure } from '../../src/guided/compared.ts';
import { type GaugeNow, HOLDS_FROM, type HoldsFrom } from '../../src/guided/gauges.ts';
import {
  type CalibrationPair,
  type CalibrationReport,
  overTime,
  residualFigureSvg,
} from '../../src/instruments/index.ts';
import type { CautionId } from '../../src/model/cautions.ts';
import { full, gauge, known } from '../../src/report/figures.ts';
import { localMoment } from '../../src/report/moments.ts';
import { sentence } from '../../src/report/words.ts';
import { tell } from '../data/api.ts';
import { rawText } from '../parts/figures.ts';
import { Scrolls } from '../parts/scrolls.tsx';
import { SAY as PAGE } from '../words.ts';
import { Svg } from './chain.tsx';
import { Cautions } from './finding.tsx';
import type { Shown } from './shown.ts';

const SAY = PAGE.work.gauges;

interface Props {
  one: GaugeNow;
  pairs: CalibrationPair[];
  report: CalibrationReport;
  shown: Shown;
  path: string;
  /** Cautions that stand above already. */
  beside: readonly CautionId[];
  act(what: string, asked: object): Promise<boolean>;
}

/** A rate of change from less than this tells nothing, days. */
const DRIFT_DAYS = 30;

/** What the points taken so far make: the line, its doubts, the next point, what it does. */
export function Calibration(props: Props) {
  const { pairs, report, shown, act, beside } = props;
  const { refusals, next, line, uncertainties, channel, coverage, cautions } = report;
  const over = line === null ? null : overTime(pairs, report, shown.well);
  const ageS =
    Date.parse(props.one.holdsFrom.now ?? '') - Date.parse(props.one.inForce?.from ?? '');
  const drift = ageS > DRIFT_DAYS * 86_400_000 ? over?.drift : null;
  const against = [drift, over?.zero].filter((one) => one != null);
  return (
    <>
      {pairs.length > 0 && <Points {...props} />}
      <h3>{SAY.next}</h3>
      <p role="status">{next === null ? SAY.nextNone : sentence(next.says)}</p>
      <Cautions ids={next === null ? [] : cautions.filter((id) => !beside.includes(id))} />
      {line !== null && (
        <>
          <Svg svg={residualFigureSvg(report)} of="compared" />
          <h3>{SAY.atEnds}</h3>
          <ul>
            {uncertainties.map(({ value, std }) => (
              <li key={value}>
                {full({ value, std: (coverage / 2) * std }, channel, shown.figures)}
              </li>
            ))}
          </ul>
        </>
      )}
      {refusals.length > 0 && (
        <>
          <h3>{SAY.doubts}</h3>
          <ul>
            {refusals.map(({ id, says }) => (
              <li key={id}>{sentence(says)}</li>
            ))}
          </ul>
        </>
      )}
      {against.length > 0 && (
        <>
          <h3>{SAY.against}</h3>
          {against.map(({ says }) => (
            <p key={says}>{sentence(says)}</p>
          ))}
        </>
      )}
      {line !== null && <Taken {...props} />}
      <p class="knobs">
        <button type="button" class="press" onClick={() => act('give-up', {})}>
          {SAY.giveUp}
        </button>
      </p>
    </>
  );
}

function Points({ pairs, report, shown: { figures }, act }: Props) {
  const { channel, raw, residuals } = report;
  const { columns } = SAY;
  return (
    <Scrolls label={SAY.points}>
      <table class="ledger">
        <caption class="caption">{SAY.points}</caption>
        <thead>
          <tr>
            {[columns.raw, columns.reference, columns.residual].map((name) => (
              <th key={name} scope="col" class="number">
                {name}
              </th>
            ))}
            <th scope="col">{columns.drop}</th>
          </tr>
        </thead>
        <tbody>
          {pairs.map((pair, place) => {
            const residual = residuals[place];
            return (
              <tr key={`${pair.atS}/${pair.reference}`}>
                <td class="number">{rawText(pair.raw, raw)}</td>
                <td class="number">{gauge(pair.reference, channel, figures)}</td>
                <td class="number">
                  {residual === undefined
                    ? ''
                    : full({ value: residual.residual, std: residual.std }, channel, figures)}
                </td>
                <td>
                  <button
                    type="button"
                    aria-label={SAY.drop(place + 1)}
                    onClick={() => act('drop', { place })}
                  >
                    ×
                  </button>
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </Scrolls>
  );
}

/** From when on it holds, what it does to the last days, and that it is taken. */
function Taken({ one, pairs, shown, path, act }: Props) {
  const { channel, holdsFrom } = one;
  const first = one.inForce === null ? 'record' : 'calibration';
  const [from, setFrom] = useState<HoldsFrom>(first);
  const [seen, setSeen] = useState<{ of: string; what: Compared } | null>(null);
  const [busy, setBusy] = useState(false);
  const [failure, setFailure] = useState<string | null>(null);
  // What was compared must be what is taken.
  const key = JSON.stringify([from, pairs]);
  const compare = async () => {
    setBusy(true);
    try {
      setSeen({ of: key, what: await tell<Compared>(`${path}/compare`, { channel, from }) });
      setFailure(null);
    } catch (error) {
      setFailure(error instanceof Error ? error.message : String(error));
    }
    setBusy(false);
  };
  const isSeen = seen?.of === key;
  return (
    <>
      <fieldset>
        <legend>{SAY.holds}</legend>
        {HOLDS_FROM.map((name) => {
          const when = holdsFrom[name];
          if (when === null) return null;
          return (
            <p key={name}>
              <label>
                <input
                  type="radio"
                  name={`from-${channel}`}
                  checked={from === name}
                  onChange={() => setFrom(name)}
                />{' '}
                {SAY.holdsFrom[name](localMoment(when, shown.figures.zone))}
              </label>
            </p>
          );
        })}
      </fieldset>
      <p>
        <button type="button" class="press" disabled={busy} onClick={compare}>
          {SAY.compare}
        </button>
      </p>
      <p role="status">{busy ? SAY.comparing : (failure ?? '')}</p>
      {isSeen && one.inForce === null && one.plain === null && <p>{SAY.noneBefore[channel]}</p>}
      {isSeen && <Past compared={seen.what} shown={shown} />}
      {!isSeen && <p class="caption">{SAY.compareFirst}</p>}
      <p class="knobs">
        <button
          type="button"
          class="press first"
          disabled={!isSeen}
          onClick={() => act('keep', { from })}
        >
          {SAY.keep}
        </button>
      </p>
    </>
  );
}

function Past({ compared, shown: { figures } }: { compared: Compared; shown: Shown }) {
  const { what, head } = SAY;
  const row = (name: string, { before, after }: Both, kind: 'pressure' | 'current' | 'volume') => {
    const shownAs = (one: Figure | null) => (one === null ? SAY.unknown : full(one, kind, figures));
    const value = before === null || after === null ? null : after.value - before.value;
    // To the digit that both are known to; what they share is not known, so it has no ± of its own.
    const std = Math.max(before?.std ?? 0, after?.std ?? 0) || null;
    const change = value === null ? SAY.unknown : known({ value, std }, kind, figures);
    return { name, before: shownAs(before), after: shownAs(after), change };
  };
  const rows = [
    row(what.cutIn, compared.cutInPaGauge, 'pressure'),
    row(what.cutOut, compared.cutOutPaGauge, 'pressure'),
    row(what.current, compared.currentA, 'current'),
    ...compared.days.flatMap(({ date, usedM3, lossM3 }) => [
      row(what.used(date), usedM3, 'volume'),
      row(what.lost(date), lossM3, 'volume'),
    ]),
  ];
  return (
    <Scrolls label={SAY.compared}>
      <table class="ledger">
        <caption class="caption">{SAY.compared}</caption>
        <thead>
          <tr>
            <td />
            {[head.before, head.after, head.change].map((name) => (
              <th key={name} scope="col" class="number">
                {name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map(({ name, before, after, change }) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              <td class="number">{before}</td>
              <td class="number">{after}</td>
              <td class="number">{change}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Scrolls>
  );
}
