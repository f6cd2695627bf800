import type { RefObject } from 'preact';
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import type { Evidence, FindingEntry } from '../../src/model/study.ts';
import type { Well } from '../../src/model/well.ts';
import { type Figures, gauge } from '../../src/report/figures.ts';
import { faultWords } from '../../src/report/head.ts';
import { gapsOf, holesIn, type Stretch } from '../data/levels.ts';
import { type Pen, recordOf } from '../data/record.ts';
import { scaleOf, stepsOf, stepText } from '../parts/figures.ts';
import { dateTime } from '../parts/times.ts';
import { useWidth } from '../parts/use-width.ts';
import { SAY } from '../words.ts';
import { drawSheet, type Inks, type Lane, leftOf, type Sheet } from './paper.ts';
import {
  endingAt,
  kept,
  moved,
  nextSpan,
  type PaperWindow,
  spanOf,
  zoomed,
} from './paper-window.ts';
import { RecorderControls } from './recorder-controls.tsx';
import { RecorderTable } from './recorder-table.tsx';
import { seenMarks } from './seen-marks.ts';
import { timeMarks } from './time-marks.ts';
import { usePaperGestures } from './use-paper-gestures.ts';

export interface RecorderProps {
  well: Well;
  figures: Figures;
  /** The record reaches from here to here, Unix s. */
  firstS: number;
  lastS: number;
  /** What the paper shows at first; null follows the present. */
  window: PaperWindow | null;
  spanS: number;
  findings: readonly FindingEntry[];
  /** Numbered beside the paper, and marked on it where it was seen. */
  evidence?: readonly Evidence[];
  /** Rises when readings of the past may have changed. */
  restated: number;
  label: string;
}

const HEIGHT = { narrow: 250, wide: 300 };
/** Without a word in the well file a device is heard of at least so often, s. */
const USUAL_SILENCE_S = 180;

const usualSilence = ({ logging }: Well): number =>
  logging.longestSilenceS === null ? USUAL_SILENCE_S : 1.5 * logging.longestSilenceS;

/** The record on ruled paper, from a second to ten years across. */
export function Recorder(props: RecorderProps) {
  const { well, firstS, lastS, restated } = props;
  const [holder, width] = useWidth<HTMLDivElement>(700);
  const canvas = useRef<HTMLCanvasElement>(null);
  const [window, setWindow] = useState<PaperWindow | null>(props.window);
  const [span, setSpan] = useState(props.spanS);
  const [changes, setChanges] = useState(0);
  const [cursorS, setCursorS] = useState<number | null>(null);
  const record = recordOf(well);
  // Before anything asked for can be answered.
  useLayoutEffect(() => record.listen(() => setChanges((before) => before + 1)), [record]);
  useEffect(() => setWindow(props.window), [props.window]);
  useEffect(() => record.asOf(restated), [restated, record]);
  const shown = window ?? endingAt(lastS, span);
  const put = (next: PaperWindow) => {
    const inside = kept(next, firstS, lastS);
    setWindow(inside);
    setSpan(spanOf(inside));
  };
  const zoom = (by: number, share = 0.5) =>
    window === null && share === 0.5 ? setSpan(span * by) : put(zoomed(shown, by, share));
  const actions = {
    earlier: () => put(moved(shown, -0.5 * spanOf(shown))),
    later: () => put(moved(shown, 0.5 * spanOf(shown))),
    closer: () => zoom(nextSpan(spanOf(shown), -1) / spanOf(shown)),
    wider: () => zoom(nextSpan(spanOf(shown), 1) / spanOf(shown)),
    present: () => setWindow(null),
    span: (spanS: number) => zoom(spanS / spanOf(shown)),
  };
  usePaperGestures(canvas, { shown, put, left: leftOf(width), width, onCursor: setCursorS });
  const height = width < 560 ? HEIGHT.narrow : HEIGHT.wide;
  const look = record.look(shown.fromS, shown.toS, width);
  const sheet = sheetOf(props, { window: shown, width, height, cursorS, ...look });
  usePainted(canvas, sheet, [changes, well, props.findings, props.evidence]);
  const answered = record.answered(shown.fromS, shown.toS, width);
  const complete = answered.whole;
  useEffect(() => {
    if (complete && props.window === null) record.lookAhead(firstS, lastS);
  }, [complete, record]);
  return (
    <div class="recorder" ref={holder}>
      <RecorderControls
        spanS={spanOf(shown)}
        isPresent={window === null}
        actions={actions}
        label={props.label}
      >
        <canvas
          ref={canvas}
          role="img"
          aria-label={spoken(props, sheet, answered.once)}
          data-complete={complete}
          data-raw={look.raw}
          style={{ width: `${width}px`, height: `${height}px` }}
        />
      </RecorderControls>
      <p class="under-paper">
        <span>
          {cursorS === null ? spanWords(props, shown) : cursorWords(props, sheet, cursorS)}
        </span>
      </p>
      <RecorderTable sheet={sheet} figures={props.figures} />
    </div>
  );
}

function spanWords({ figures }: RecorderProps, { fromS, toS }: PaperWindow): string {
  const [from, to] = [fromS, toS].map((atS) => dateTime(atS, figures.zone, toS - fromS));
  return `${from} – ${to}, ${SAY.timesOf(figures.zone)}`;
}

function cursorWords({ figures }: RecorderProps, sheet: Sheet, atS: number): string {
  const [pressure, current] = sheet.lanes.map(({ stretches }) => at(stretches, atS));
  return SAY.recorder.at(
    dateTime(atS, figures.zone, spanOf(sheet.window)),
    gauge(pressure ?? null, 'pressure', figures),
    gauge(current ?? null, 'current', figures),
  );
}

/** The mean of the stretch that holds a moment, or of the last before it. */
function at(stretches: readonly Stretch[], atS: number): number | undefined {
  return stretches.findLast(({ fromS }) => fromS <= atS)?.mean;
}

interface Looked {
  window: PaperWindow;
  width: number;
  height: number;
  cursorS: number | null;
  pens: Record<Pen, Stretch[]>;
  raw: boolean;
}

function sheetOf(props: RecorderProps, looked: Looked): Sheet {
  const { well, figures, findings, lastS, firstS } = props;
  const { window, width, height, pens, raw, cursorS } = looked;
  const usual = usualSilence(well);
  const gaps = (pen: Pen): [number, number][] => {
    const from = Math.max(window.fromS, firstS);
    return gapsOf(pens[pen], from, Math.min(window.toS, lastS), usual);
  };
  const lane = (pen: Pen, kind: 'pressure' | 'current', mostSI: number): Lane => {
    const { si, unit } = scaleOf(kind, figures);
    const greatest = pens[pen].reduce((most, one) => Math.max(most, one.greatest), mostSI);
    const rules = stepsOf(0, greatest / si, pen === 'pressure' ? 5 : 3);
    return {
      pen,
      name: `${SAY.recorder[pen]}, ${unit}`,
      least: 0,
      greatest: greatest * 1.04,
      rules: rules.map((value) => ({ value: value * si, text: stepText(value, rules) })),
      stretches: pens[pen],
      gaps: gaps(pen),
    };
  };
  const { equipment } = well;
  const mostPa = 1.15 * (equipment.cutOutPaGauge?.value ?? 400_000);
  const mostA = equipment.serviceFactorCurrentA?.value ?? equipment.fullLoadCurrentA?.value ?? 8;
  return {
    ...{ width, height, window, raw, cursorS },
    lanes: [lane('pressure', 'pressure', mostPa), lane('current', 'current', mostA)],
    marks: timeMarks(window.fromS, window.toS, figures.zone, Math.max(3, width / 84)),
    notes: [
      ...well.services.map(({ onS, did }) => ({
        ...{ fromS: onS, toS: onS, text: did, kind: 'service' as const },
      })),
      ...findings.map(({ fault, since, cleared }) => ({
        fromS: Date.parse(since) / 1000,
        toS: cleared === null ? lastS : Date.parse(cleared) / 1000,
        text: faultWords(fault),
        kind: 'finding' as const,
      })),
    ],
    seen: seenMarks(props.evidence ?? []),
    gapText: SAY.recorder.gap,
  };
}

/** What the strip shows, in words. */
function spoken(
  { figures, label }: RecorderProps,
  { window, lanes, seen }: Sheet,
  isAnswered: boolean,
): string {
  const say = SAY.recorder;
  const span = spanOf(window);
  const parts = [
    say.spoken(
      dateTime(window.fromS, figures.zone, span),
      dateTime(window.toS, figures.zone, span),
    ),
  ];
  for (const { pen, stretches } of lanes) {
    if (stretches.length === 0) continue;
    const least = stretches.reduce(
      (most, one) => Math.min(most, one.least),
      Number.POSITIVE_INFINITY,
    );
    const greatest = stretches.reduce(
      (most, one) => Math.max(most, one.greatest),
      Number.NEGATIVE_INFINITY,
    );
    parts.push(say.spokenPen(say[pen], gauge(least, pen, figures), gauge(greatest, pen, figures)));
  }
  if (parts.length === 1) parts.push(isAnswered ? say.spokenNothing : say.spokenAsked);
  else {
    // A pen that wrote nothing has been told of by its silence.
    const wrote = lanes.filter(({ stretches }) => stretches.length > 0);
    parts.push(say.spokenGaps(holesIn(wrote.map(({ gaps }) => gaps))));
  }
  if (seen.length > 0) parts.push(say.spokenSeen(seen.map(({ text }) => text)));
  return `${label}: ${parts.join(' ')}`;
}

function paint(canvas: HTMLCanvasElement, sheet: Sheet): void {
  const density = Math.min(3, globalThis.devicePixelRatio || 1);
  const [width, height] = [Math.round(sheet.width * density), Math.round(sheet.height * density)];
  if (canvas.width !== width) canvas.width = width;
  if (canvas.height !== height) canvas.height = height;
  const to = canvas.getContext('2d');
  if (to === null) return;
  to.setTransform(density, 0, 0, density, 0, 0);
  drawSheet(to, sheet, inksOf(canvas));
}

/** Painted anew when the sheet or one of `keys` has changed, or the inks have. */
function usePainted(
  canvas: RefObject<HTMLCanvasElement | null>,
  sheet: Sheet,
  keys: readonly unknown[],
): void {
  const latest = useRef(sheet);
  latest.current = sheet;
  const again = () => canvas.current && paint(canvas.current, latest.current);
  useEffect(() => whenInksChange(again), []);
  const { window, width, height, cursorS } = sheet;
  useEffect(() => void again(), [window.fromS, window.toS, width, height, cursorS, ...keys]);
}

/** Night falls, or the page goes to a printer: what was painted before is of other inks. */
function whenInksChange(repaint: () => void): () => void {
  const media = ['print', '(prefers-color-scheme: dark)'].map((one) => matchMedia(one));
  for (const one of media) one.addEventListener('change', repaint);
  return () => {
    for (const one of media) one.removeEventListener('change', repaint);
  };
}

function inksOf(canvas: HTMLCanvasElement): Inks {
  const style = getComputedStyle(canvas);
  const ink = (name: string) => style.getPropertyValue(`--${name}`).trim();
  return {
    paper: ink('strip'),
    rule: ink('strip-rule'),
    strongRule: ink('strip-strong'),
    ink: ink('ink'),
    soft: ink('soft'),
    pressure: ink('pen-pressure'),
    current: ink('pen-current'),
    hole: ink('strip-hole'),
  };
}
