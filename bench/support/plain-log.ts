import { once } from 'node:events';
import { createWriteStream } from 'node:fs';
import { generator } from './random.ts';

const DAY_S = 86_400;
const START_S = Date.parse('2026-01-01T00:00:00Z') / 1000;
const BLOCK_BYTES = 1 << 20;
/** Longest row: ten digits of time, six of pressure, five of current, separators, line end. */
const ROW_BYTES = 32;
/** So that the tank of 40/60 psi at sea level is down about ten times a day. */
const DRAWS_PER_S = 1 / 3300;
const DRAWN_PER_S = 1.1e-5;
const FILLED_PER_S = 6.4e-5;
const NOISE_PSI = 0.06;

/** Writes a number of hundredths as decimals: far faster than text made by `toFixed`. */
function writeHundredths(bytes: Uint8Array, from: number, hundredths: number): number {
  const whole = Math.floor(hundredths / 100);
  const at = writeWhole(bytes, from, whole);
  const rest = hundredths - 100 * whole;
  bytes[at] = 46;
  bytes[at + 1] = 48 + Math.floor(rest / 10);
  bytes[at + 2] = 48 + (rest % 10);
  return at + 3;
}

function writeWhole(bytes: Uint8Array, from: number, value: number): number {
  let places = 1;
  for (let power = 10; value >= power; power *= 10) places++;
  let left = value;
  for (let i = from + places - 1; i >= from; i--) {
    bytes[i] = 48 + (left % 10);
    left = Math.floor(left / 10);
  }
  return from + places;
}

/**
 * Writes a log at 1 Hz, a draw of a few minutes now and then, a run of about 80 s when the tank
 * is down (Boyle's law alone: this is about speed). Same seed, same log. Returns the rows.
 */
export async function writePlainLog(path: string, days: number): Promise<number> {
  const random = generator(7);
  const out = createWriteStream(path);
  out.write('time,pressure [psi],current [A]\n');
  let block = new Uint8Array(BLOCK_BYTES);
  let at = 0;
  let inverse = 1 / 70;
  let on = false;
  let drawLeftS = 0;
  const rows = days * DAY_S;
  for (let i = 0; i < rows; i++) {
    if (drawLeftS === 0 && random() < DRAWS_PER_S) drawLeftS = Math.floor(20 + 300 * random());
    const drawn = drawLeftS > 0 ? DRAWN_PER_S : 0;
    if (drawLeftS > 0) drawLeftS -= 1;
    inverse += drawn - (on ? FILLED_PER_S : 0);
    const psi = 1 / inverse - 14.2;
    on = on ? psi <= 60 : psi < 40;
    const noise = 2 * NOISE_PSI * (random() + random() + random() - 1.5);
    const amps = on ? 7.9 + 0.1 * random() : 0.02 + 0.03 * random();
    at = writeWhole(block, at, START_S + i);
    block[at++] = 44;
    at = writeHundredths(block, at, Math.round(100 * (psi + noise)));
    block[at++] = 44;
    at = writeHundredths(block, at, Math.round(100 * amps));
    block[at++] = 10;
    if (at <= BLOCK_BYTES - ROW_BYTES) continue;
    if (!out.write(block.subarray(0, at))) await once(out, 'drain');
    block = new Uint8Array(BLOCK_BYTES);
    at = 0;
  }
  out.end(block.subarray(0, at));
  await once(out, 'close');
  return rows;
}
