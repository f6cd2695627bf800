import { type Figures, full, known } from '../../src/report/figures.ts';
import { told } from '../parts/figures.ts';
import { bandOf, type Level, type SectionScale, spread } from '../parts/section-geometry.ts';
import type { Seen } from '../parts/seen.ts';
import { SAY } from '../words.ts';
import type { Frame } from './section.tsx';

interface BoreProps {
  frame: Frame;
  scale: SectionScale;
  seen: Seen;
  figures: Figures;
}

/** Half widths, px: widths are not to scale. */
const CASING = 27;
const PIPE = 4;
const PUMP = 10;
const ABOVE_GROUND = 18;

/** Depth of the intake, somewhere near the bottom where it is not told. */
const intakeM = ({ depths }: Seen, { deepestM }: SectionScale): number =>
  depths.intakeM ?? deepestM * 0.85;

/** Where the drop pipe ends: on the pump, or at the foot valve of a jet pump. */
export const pipeFootY = (seen: Seen, scale: SectionScale): number =>
  scale.yOf(intakeM(seen, scale) * (seen.equipment.pumpKind === 'jet' ? 1 : 0.93));

/** Everything below ground: earth, casing, levels, drop pipe, cable, pump. */
export function Bore({ frame, scale, seen, figures }: BoreProps) {
  const { boreX: x, groundY, width } = frame;
  const { depths, equipment } = seen;
  const bottomY = scale.yOf(scale.deepestM);
  const topY = groundY - ABOVE_GROUND;
  const waterY = depths.staticLevel === null ? null : scale.yOf(depths.staticLevel.m);
  const isJet = equipment.pumpKind === 'jet';
  const intakeY = scale.yOf(intakeM(seen, scale));
  const pumpY = pipeFootY(seen, scale);
  return (
    <g>
      <rect
        x={46}
        y={groundY}
        width={x - CASING - 46}
        height={bottomY - groundY}
        fill="url(#earth)"
      />
      <rect
        x={x + CASING}
        y={groundY}
        width={width - x - CASING - 8}
        height={13}
        fill="url(#earth)"
      />
      <rect x={x + CASING} y={groundY} width={22} height={bottomY - groundY} fill="url(#earth)" />
      <path d={`M46 ${groundY}H${x - CASING}M${x + CASING} ${groundY}H${width - 8}`} class="bold" />
      {waterY !== null && (
        <rect
          x={x - CASING + 2}
          y={waterY}
          width={2 * CASING - 4}
          height={bottomY - waterY}
          fill="url(#waves)"
        />
      )}
      <path d={`M${x - CASING} ${topY}V${bottomY}M${x + CASING} ${topY}V${bottomY}`} class="bold" />
      <path d={`M${x - CASING} ${bottomY}l9 -5l9 9l9 -9l9 9l9 -9l9 5`} class="thin" />
      <rect
        x={x - CASING - 4}
        y={groundY - ABOVE_GROUND - 6}
        width={2 * CASING + 8}
        height={7}
        class="solid"
      />
      {depths.pumpingLevel !== null && (
        <Surface level={depths.pumpingLevel} x={x} scale={scale} kind="pumping" />
      )}
      {depths.staticLevel !== null && (
        <Surface level={depths.staticLevel} x={x} scale={scale} kind="static" />
      )}
      <path d={`M${x - PIPE} ${groundY}V${pumpY}M${x + PIPE} ${groundY}V${pumpY}`} class="line" />
      {!isJet && (
        <>
          <path d={`M${x + PIPE + 7} ${groundY - ABOVE_GROUND}V${pumpY + 4}`} class="cable" />
          <Pump x={x} topY={pumpY} intakeY={intakeY} />
        </>
      )}
      <Labels frame={frame} scale={scale} seen={seen} figures={figures} />
    </g>
  );
}

function Pump({ x, topY, intakeY }: { x: number; topY: number; intakeY: number }) {
  return (
    <g>
      <rect x={x - PUMP} y={topY} width={2 * PUMP} height={intakeY - topY + 14} class="solid" />
      <rect x={x - PUMP} y={intakeY - 3} width={2 * PUMP} height={5} class="screen" />
    </g>
  );
}

/** A water surface: the surveyor's triangle on its line, the band that holds it behind. */
function Surface({
  level,
  x,
  scale,
  kind,
}: {
  level: Level;
  x: number;
  scale: SectionScale;
  kind: 'static' | 'pumping';
}) {
  const y = scale.yOf(level.m);
  const [topM, bottomM] = bandOf(level, scale.deepestM);
  const side = kind === 'static' ? -1 : 1;
  const tipX = x + side * 16;
  return (
    <g class={`surface ${kind}`}>
      <rect
        x={x - CASING - 6}
        y={scale.yOf(topM)}
        width={2 * CASING + 12}
        height={scale.yOf(bottomM) - scale.yOf(topM)}
        fill="url(#doubt)"
      />
      <path d={`M${x - CASING - 6} ${y}H${x + CASING + 6}`} class="line" />
      <path d={`M${tipX - 6} ${y - 10}h12l-6 9z`} class="triangle" />
      <path d={`M${tipX - 5} ${y + 4}h10M${tipX - 3} ${y + 7}h6`} class="thin" />
    </g>
  );
}

interface Label {
  atY: number;
  text: string;
  note?: string;
}

function labelsOf({ scale, seen, figures, frame }: BoreProps): Label[] {
  const { depths, equipment } = seen;
  const level = ({ m, std }: Level) => known({ value: m, std }, 'length', figures);
  const spreadOf = ({ m, std }: Level) =>
    full({ value: m, std }, 'length', figures).replace(/^[^±]*/, '');
  const say = SAY.section;
  const labels: Label[] = [];
  const { staticLevel, pumpingLevel } = depths;
  labels.push({
    atY: frame.groundY + 26,
    text:
      equipment.casingM === null
        ? say.casingPlain
        : say.casing(inches(equipment.casingM.value, figures)),
  });
  if (staticLevel === null) labels.push({ atY: frame.groundY + 70, text: say.levelNotKnown });
  else
    labels.push({
      atY: scale.yOf(staticLevel.m),
      text: say.staticLevel(level(staticLevel)),
      note: spreadOf(staticLevel),
    });
  if (pumpingLevel !== null)
    labels.push({
      atY: scale.yOf(pumpingLevel.m),
      text: say.pumpingLevel(level(pumpingLevel)),
      note: `${spreadOf(pumpingLevel)}, ${say.deepestToday}`,
    });
  const between = scale.yOf(intakeM(seen, scale) * 0.62);
  const pipe = equipment.pipeInsideDiameterM;
  labels.push({
    atY: between,
    text: pipe === null ? say.dropPipePlain : say.dropPipe(inches(pipe.value, figures)),
  });
  if (equipment.pumpKind !== 'jet')
    labels.push({
      atY: between + 24,
      text:
        equipment.cableLengthM === null
          ? say.cablePlain
          : say.cable(told(equipment.cableLengthM, 'length', figures)),
    });
  labels.push({
    atY: scale.yOf(intakeM(seen, scale)),
    text: pumpWords(seen, figures),
  });
  return labels;
}

function pumpWords({ depths, equipment }: Seen, figures: Figures): string {
  const say = SAY.section;
  const isJet = equipment.pumpKind === 'jet';
  if (depths.intakeM === null) return isJet ? say.footPlain : say.pumpPlain;
  return (isJet ? say.foot : say.pump)(told(equipment.intakeDepthM, 'length', figures));
}

/** A width of pipe, as the trade names it. */
const inches = (m: number, { system }: Figures): string =>
  system === 'us' ? `${Number((m / 0.0254).toPrecision(3))} in` : `${Math.round(m * 1000)} mm`;

function Labels(props: BoreProps) {
  const { frame, scale } = props;
  const labels = labelsOf(props);
  const places = spread(
    labels.map(({ atY }) => atY),
    38,
    scale.yOf(scale.deepestM) - 12,
  );
  const fromX = frame.boreX + CASING + 2;
  const textX = frame.boreX + CASING + (frame.narrow ? 40 : 64);
  return (
    <g>
      {labels.map(({ text, note, atY }, i) => (
        <g key={text}>
          <path d={`M${fromX} ${atY}L${textX - 14} ${places[i]}H${textX - 5}`} class="leader" />
          <circle cx={fromX} cy={atY} r={2} class="solid" />
          <text x={textX} y={places[i]! + 4}>
            {text}
          </text>
          {note && (
            <text x={textX} y={places[i]! + 19} class="small">
              {note}
            </text>
          )}
        </g>
      ))}
    </g>
  );
}
