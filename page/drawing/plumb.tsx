import { SAY } from '../words.ts';

interface PlumbProps {
  observed: number;
  expected: number;
  /** Half the band that holds the expected 95 times of 100. */
  half: number;
}

const [WIDTH, HEIGHT, EDGE] = [260, 44, 12];

/** What was observed against what was expected, on one line; the words beside it say the same. */
export function Plumb({ observed, expected, half }: PlumbProps) {
  const low = Math.min(observed, expected - half);
  const high = Math.max(observed, expected + half);
  const xOf = (value: number) => EDGE + ((value - low) / (high - low || 1)) * (WIDTH - 2 * EDGE);
  const y = 20;
  const near = Math.abs(xOf(observed) - xOf(expected)) < 70;
  return (
    <svg
      class="plumb"
      width={WIDTH}
      height={HEIGHT}
      viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
      aria-hidden="true"
    >
      <path d={`M${EDGE} ${y}H${WIDTH - EDGE}`} class="thin" />
      <rect
        x={xOf(expected - half)}
        y={y - 6}
        width={Math.max(2, xOf(expected + half) - xOf(expected - half))}
        height={12}
        class="expected-band"
      />
      <path d={`M${xOf(expected)} ${y - 8}v16`} class="thin" />
      <path d={`M${xOf(observed)} ${y}l-6 -11h12z`} class="observed" />
      {!near && (
        <text x={xOf(expected)} y={HEIGHT - 6} text-anchor={anchor(xOf(expected))} class="small">
          {SAY.condition.expected}
        </text>
      )}
      <text x={xOf(observed)} y={HEIGHT - 6} text-anchor={anchor(xOf(observed))} class="small">
        {SAY.condition.observed}
      </text>
    </svg>
  );
}

const anchor = (x: number): 'start' | 'middle' | 'end' =>
  x < 40 ? 'start' : x > WIDTH - 40 ? 'end' : 'middle';
