import type { Outline } from '../../src/model/study.ts';
import type { Well } from '../../src/model/well.ts';
import type { WellNow } from '../../src/model/well-now.ts';
import type { Figures } from '../../src/report/figures.ts';
import { full, gauge } from '../../src/report/figures.ts';
import { localMoment } from '../../src/report/moments.ts';
import { scaleOf, stepsOf, stepText, told } from '../parts/figures.ts';
import { pumpSentence } from '../parts/pump-state.ts';
import { sectionScale } from '../parts/section-geometry.ts';
import { type Seen, seenOf } from '../parts/seen.ts';
import { useWidth } from '../parts/use-width.ts';
import { SAY } from '../words.ts';
import { Bore, pipeFootY } from './bore.tsx';
import { Surface } from './surface.tsx';

export interface SectionProps {
  well: Well;
  now: WellNow;
  outline: Outline | null;
  figures: Figures;
}

const SURFACE_PX = { narrow: 352, wide: 300 };
const BORE_PX = { narrow: 400, wide: 480 };
const NARROW_PX = 660;

/** Places that both parts of the drawing share. */
export interface Frame {
  width: number;
  height: number;
  narrow: boolean;
  groundY: number;
  boreX: number;
}

/** The section of the well, as an engineer draws it, alive with the readings. */
export function Section({ well, now, outline, figures }: SectionProps) {
  const [holder, width] = useWidth<HTMLElement>(620);
  const narrow = width < NARROW_PX;
  const groundY = narrow ? SURFACE_PX.narrow : SURFACE_PX.wide;
  const height = groundY + (narrow ? BORE_PX.narrow : BORE_PX.wide);
  const frame: Frame = {
    ...{ width, height, narrow },
    groundY,
    boreX: narrow ? 92 : Math.round(width * 0.24),
  };
  const seen = seenOf(well, now, outline);
  const scale = sectionScale(seen.depths, frame.groundY, height - 22);
  return (
    <figure class="section" ref={holder}>
      <svg
        width={width}
        height={height}
        viewBox={`0 0 ${width} ${height}`}
        role="img"
        aria-label={SAY.section.title}
        aria-describedby="section-spoken"
      >
        <Patterns />
        <Ruler frame={frame} scale={scale} figures={figures} />
        <Bore frame={frame} scale={scale} seen={seen} figures={figures} />
        <Surface
          frame={frame}
          fromY={pipeFootY(seen, scale)}
          seen={seen}
          now={now}
          figures={figures}
        />
        <Legend frame={frame} well={well} now={now} toScale={scale.toScale} />
      </svg>
      <figcaption>{narrow && (scale.toScale ? SAY.section.scale : SAY.section.noScale)}</figcaption>
      <p id="section-spoken" class="spoken">
        {spoken(well, now, seen, figures)}
      </p>
    </figure>
  );
}

/** What a drawing says of itself in its corner; on a narrow sheet only whose it is. */
function Legend({ frame, well, now, toScale }: LegendProps) {
  const { width, height, narrow } = frame;
  if (narrow)
    return (
      <text x={8} y={20} class="drawing-title">
        {well.name}
      </text>
    );
  const [x, y, w] = [width - LEGEND_PX, height - 22 - 4 * LINE_PX, LEGEND_PX - 8];
  const lines = [
    SAY.section.title,
    toScale ? SAY.section.scale : SAY.section.noScale,
    now.at === null ? '' : SAY.section.asOf(localMoment(now.at, well.timeZone)),
  ];
  return (
    <g>
      <path
        d={`M${x} ${y}h${w}v${4 * LINE_PX}h${-w}zM${x} ${y + 1.25 * LINE_PX}h${w}`}
        class="line"
      />
      <text x={x + 10} y={y + 0.9 * LINE_PX} class="drawing-title">
        {well.name}
      </text>
      {lines.map((text, i) => (
        <text key={text} x={x + 10} y={y + (2.05 + 0.8 * i) * LINE_PX} class="label">
          {text}
        </text>
      ))}
    </g>
  );
}

interface LegendProps {
  frame: Frame;
  well: Well;
  now: WellNow;
  toScale: boolean;
}

const LEGEND_PX = 250;
const LINE_PX = 24;

/** Hatchings of the trade: earth, water, air. */
function Patterns() {
  return (
    <defs>
      <pattern id="earth" width="14" height="14" patternUnits="userSpaceOnUse">
        <path d="M0 14L14 0M-3 3L3 -3M11 17L17 11" class="hatch" />
      </pattern>
      <pattern id="waves" width="18" height="9" patternUnits="userSpaceOnUse">
        <rect width="18" height="9" class="water-ground" />
        <path d="M1 5q4-4 8 0t8 0" class="wave" />
      </pattern>
      <pattern id="dots" width="8" height="8" patternUnits="userSpaceOnUse">
        <circle cx="2" cy="2" r="0.8" class="dot" />
        <circle cx="6" cy="6" r="0.8" class="dot" />
      </pattern>
      <pattern id="doubt" width="5" height="5" patternUnits="userSpaceOnUse">
        <path d="M0 2.5H5" class="doubt-line" />
      </pattern>
    </defs>
  );
}

/** Depth below ground, as a staff held beside the bore. */
function Ruler({
  frame,
  scale,
  figures,
}: {
  frame: Frame;
  scale: ReturnType<typeof sectionScale>;
  figures: Figures;
}) {
  if (!scale.toScale) return null;
  const { unit, si } = scaleOf('length', figures);
  const steps = stepsOf(0, scale.deepestM / si, 8);
  const x = 34;
  return (
    <g class="ruler">
      <path d={`M${x} ${frame.groundY}V${scale.yOf(scale.deepestM)}`} class="thin" />
      {steps.map((step) => {
        const y = scale.yOf(step * si);
        return (
          <g key={step}>
            <path d={`M${x - 5} ${y}h10`} class="thin" />
            <text x={x - 8} y={y + 4} text-anchor="end" class="small">
              {step === 0 ? `0 ${unit}` : stepText(step, steps)}
            </text>
          </g>
        );
      })}
    </g>
  );
}

/** The drawing in words, for whoever cannot see it. */
function spoken(well: Well, now: WellNow, seen: Seen, figures: Figures): string {
  const say = SAY.section.spoken;
  const { equipment } = well;
  const depth = (m: number, std: number) => full({ value: m, std }, 'length', figures);
  const { staticLevel, pumpingLevel, intakeM } = seen.depths;
  const { cutInPaGauge, cutOutPaGauge, reliefPaGauge } = equipment;
  const pressure = (pa: number | null) => gauge(pa, 'pressure', figures);
  return [
    say.open(well.name),
    staticLevel === null ? say.noLevel : say.level(depth(staticLevel.m, staticLevel.std)),
    pumpingLevel === null ? '' : say.pumping(depth(pumpingLevel.m, pumpingLevel.std)),
    equipment.pumpKind === 'jet' ? say.jet : '',
    equipment.pumpKind === 'jet' || intakeM === null
      ? ''
      : say.pump(told(equipment.intakeDepthM, 'length', figures)),
    pumpSentence(now),
    seen.fill === null ? '' : say.tank(seen.fill.air(figures), seen.fill.water(figures)),
    say.pressure(
      pressure(now.pressurePaGauge),
      pressure(cutInPaGauge?.value ?? null),
      pressure(cutOutPaGauge?.value ?? null),
    ),
    reliefPaGauge === null ? '' : say.relief(pressure(reliefPaGauge.value)),
  ]
    .filter((one) => one !== '')
    .join(' ');
}
