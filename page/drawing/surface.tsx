import type { WellNow } from '../../src/model/well-now.ts';
import { bareGauge, type Figures, fullVolume, gauge, volumeOf } from '../../src/report/figures.ts';
import { scaleOf, stepsOf, told } from '../parts/figures.ts';
import { flowWords } from '../parts/flow-words.ts';
import { pumpState } from '../parts/pump-state.ts';
import { spread } from '../parts/section-geometry.ts';
import type { Seen } from '../parts/seen.ts';
import { SAY } from '../words.ts';
import type { Frame } from './section.tsx';

interface SurfaceProps {
  frame: Frame;
  /** Where the water comes from in the bore, px. */
  fromY: number;
  seen: Seen;
  now: WellNow;
  figures: Figures;
}

/** The line lies so high above ground, px. */
const LINE_ABOVE = 34;

/** Everything above ground: line, tee, tank, switch, relief, house, and the figures of now. */
export function Surface({ frame, fromY, seen, now, figures }: SurfaceProps) {
  const { groundY, boreX, width, narrow } = frame;
  const lineY = groundY - LINE_ABOVE;
  const tankX = Math.round(boreX + (width - boreX) * (narrow ? 0.36 : 0.38));
  const houseX = width - (narrow ? 74 : 130);
  // On a narrow sheet the figures of the house stand in a row above everything.
  const houseTextX = narrow ? width * 0.42 : width - 8;
  const stateX = boreX - (narrow ? 58 : 28);
  const running = now.pump.on === true;
  const drawing = isFlowing(now);
  return (
    <g>
      <path d={pipes(frame, tankX, houseX)} class="line" />
      <path d={`M${boreX} ${fromY}V${lineY}H${tankX - 4}`} class={running ? 'flowing' : 'still'} />
      <path d={`M${tankX + 8} ${lineY}H${houseX}`} class={drawing ? 'flowing' : 'still'} />
      {seen.equipment.pumpKind === 'jet' && <JetPump x={boreX + 47} lineY={lineY} />}
      <Tank x={tankX} lineY={lineY} seen={seen} figures={figures} narrow={narrow} />
      <PressureStaff
        frame={frame}
        x={tankX + (narrow ? 62 : 84)}
        seen={seen}
        now={now}
        figures={figures}
      />
      <House x={houseX} groundY={groundY} />
      <text x={stateX} y={lineY - 58} class="label">
        {pumpState(now)}
      </text>
      <text x={stateX} y={lineY - 36} class="figure current">
        {now.currentA === null ? '—' : gauge(now.currentA, 'current', figures)}
      </text>
      <text x={houseTextX} y={74} text-anchor="end" class="label">
        {SAY.section.toHouse}
      </text>
      <text x={houseTextX} y={96} text-anchor="end" class="figure">
        {flowWords(now, figures, true)}
      </text>
      <text x={width - 8} y={narrow ? 74 : 130} text-anchor="end" class="label">
        {SAY.figures.today}
      </text>
      <text x={width - 8} y={narrow ? 96 : 152} text-anchor="end" class="figure">
        {now.day === null ? '—' : fullVolume(volumeOf(now.day, 'used', figures), figures)}
      </text>
    </g>
  );
}

/** Both walls of the pipe from the bore to the tee and on to the house, and up to the tank. */
function pipes({ boreX, groundY }: Frame, tankX: number, houseX: number): string {
  const [above, below] = [groundY - LINE_ABOVE - 4, groundY - LINE_ABOVE + 4];
  return [
    `M${boreX - 4} ${groundY}V${above}H${tankX - 10}v-16`,
    `M${boreX + 4} ${groundY}V${below}H${houseX}`,
    `M${tankX + 10} ${above - 16}v16H${houseX}`,
  ].join('');
}

/** A pump on its line, as a piping drawing has it: a circle, and a wedge the way the water goes. */
function JetPump({ x, lineY }: { x: number; lineY: number }) {
  return (
    <g>
      <circle cx={x} cy={lineY} r={12} class="line" />
      <path d={`M${x - 6} ${lineY - 10}L${x + 12} ${lineY}L${x - 6} ${lineY + 10}`} class="line" />
    </g>
  );
}

/** Flow that can be told from none. */
const isFlowing = ({ flowM3PerS, flowM3PerSStd }: WellNow): boolean =>
  flowM3PerS !== null && flowM3PerS > 2 * (flowM3PerSStd ?? 0);

const TANK_PX = 122;

/** The tank cut open: water below, air above, the diaphragm between. */
function Tank({
  x,
  lineY,
  seen,
  figures,
  narrow,
}: {
  x: number;
  lineY: number;
  seen: Seen;
  figures: Figures;
  narrow: boolean;
}) {
  const half = narrow ? 34 : 44;
  const bottom = lineY - 20;
  const top = bottom - TANK_PX;
  const r = 18;
  const [w, h] = [2 * (half - r), TANK_PX - 2 * r];
  const corner = (dx: number, dy: number) => `a${r} ${r} 0 0 1 ${dx} ${dy}`;
  const shell = [
    `M${x - half} ${top + r}${corner(r, -r)}h${w}${corner(r, r)}`,
    `v${h}${corner(-r, r)}h${-w}${corner(-r, -r)}Z`,
  ].join('');
  const { fill } = seen;
  const share = fill?.waterShare ?? 0;
  const waterY = bottom - share * TANK_PX;
  return (
    <g>
      <clipPath id="shell">
        <path d={shell} />
      </clipPath>
      <g clip-path="url(#shell)">
        <rect
          x={x - half}
          y={top}
          width={2 * half}
          height={TANK_PX}
          fill={fill === null ? 'none' : 'url(#dots)'}
        />
        {fill !== null && (
          <rect
            x={x - half}
            y={waterY}
            width={2 * half}
            height={bottom - waterY}
            fill="url(#waves)"
          />
        )}
        {fill !== null && <path d={`M${x - half} ${waterY}H${x + half}`} class="bold" />}
      </g>
      <path d={shell} class="bold" />
      <path d={`M${x - half + 10} ${bottom}v12M${x + half - 10} ${bottom}v12`} class="line" />
      {tankLines(seen, figures).map((text, i, all) => (
        <text
          key={text}
          x={x}
          y={top - 9 - 17 * (all.length - 1 - i)}
          text-anchor="middle"
          class="label"
        >
          {text}
        </text>
      ))}
    </g>
  );
}

function tankLines({ fill, equipment }: Seen, figures: Figures): string[] {
  const { tankVolumeM3 } = equipment;
  const say = SAY.section;
  const name =
    tankVolumeM3 === null ? say.tankPlain : say.tank(told(tankVolumeM3, 'volume', figures));
  if (fill === null) return [name, say.fillNotKnown];
  return [name, say.air(fill.air(figures)), say.waterIn(fill.water(figures))];
}

/** Pressure as on a glass gauge: the band of the switch, the relief, and where it stands now. */
function PressureStaff({
  frame,
  x,
  seen,
  now,
  figures,
}: {
  frame: Frame;
  x: number;
  seen: Seen;
  now: WellNow;
  figures: Figures;
}) {
  const { cutInPaGauge, cutOutPaGauge, reliefPaGauge } = seen.equipment;
  const [top, bottom] = [frame.narrow ? 150 : 58, frame.groundY - 64];
  const marks = [
    { pa: cutInPaGauge?.value, name: SAY.section.cutIn },
    { pa: cutOutPaGauge?.value, name: SAY.section.cutOut },
    { pa: reliefPaGauge?.value, name: SAY.section.relief },
  ].flatMap(({ pa, name }) => (pa === undefined ? [] : [{ pa, name }]));
  const pressure = now.pressurePaGauge;
  const mostPa = 1.08 * Math.max(...marks.map(({ pa }) => pa), pressure ?? 0, 400_000);
  const yOf = (pa: number) => bottom - ((bottom - top) * Math.max(0, pa)) / mostPa;
  const { si, unit } = scaleOf('pressure', figures);
  const steps = stepsOf(0, mostPa / si, 8);
  const places = spread(
    marks.map(({ pa }) => yOf(pa)),
    15,
    bottom,
  );
  return (
    <g class="staff">
      {cutInPaGauge && cutOutPaGauge && (
        <rect
          x={x}
          y={yOf(cutOutPaGauge.value)}
          width={10}
          height={yOf(cutInPaGauge.value) - yOf(cutOutPaGauge.value)}
          class="band"
        />
      )}
      <rect x={x} y={top} width={10} height={bottom - top} class="glass" />
      {steps.map((step) => (
        <path key={step} d={`M${x} ${yOf(step * si)}h4`} class="thin" />
      ))}
      {marks.map(({ pa, name }, i) => (
        <g key={name}>
          <path d={`M${x} ${yOf(pa)}h12l6 ${places[i]! - yOf(pa)}`} class="line" />
          <text x={x + 21} y={places[i]! + 4} class="small">
            {frame.narrow
              ? `${name} ${bareGauge(pa, 'pressure', figures)}`
              : `${name} ${gauge(pa, 'pressure', figures)}`}
          </text>
        </g>
      ))}
      {pressure !== null && <path d={`M${x - 3} ${yOf(pressure)}l-11 -6v12z`} class="pointer" />}
      <text x={x - 2} y={top - 12} class="figure pressure" text-anchor="start">
        {pressure === null ? '—' : gauge(pressure, 'pressure', figures)}
      </text>
      <text x={x + 5} y={bottom + 13} class="small" text-anchor="middle">
        {`0 ${unit}`}
      </text>
    </g>
  );
}

function House({ x, groundY }: { x: number; groundY: number }) {
  const w = 60;
  return (
    <path
      d={[
        `M${x} ${groundY}v-58h${w}v58`,
        `M${x - 7} ${groundY - 54}l${w / 2 + 7} -30l${w / 2 + 7} 30`,
        `M${x} ${groundY - 34}h16v-10h8v6M${x + 36} ${groundY}v-30h14v30`,
      ].join('')}
      class="line house"
    />
  );
}
