import { once } from 'node:events';
import { createWriteStream } from 'node:fs';

/**
 * Writes a log of two columns at 1 Hz: pressure sawing between 40 and 60 psi with noise, current
 * on while it rises. Seeded, so that every run of a bench reads the same bytes.
 */
export async function writePlainLog(path: string, rows: number): Promise<void> {
  const file = createWriteStream(path);
  file.write('time,pressure [psi],current [A]\n');
  let seed = 12345;
  const noise = () => {
    seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
    return seed / 2 ** 32 - 0.5;
  };
  let text = '';
  for (let i = 0; i < rows; i++) {
    const phase = i % 600;
    const on = phase >= 480;
    const psi = on ? 40 + (phase - 480) / 6 : 60 - phase / 24;
    const amps = on ? 8.2 - (phase - 480) / 400 : 0.05;
    text += `${1775433600 + i},${(psi + 0.1 * noise()).toFixed(2)},${(amps + 0.04 * noise()).toFixed(2)}\n`;
    if (i % 4096 === 4095 || i === rows - 1) {
      if (!file.write(text)) await once(file, 'drain');
      text = '';
    }
  }
  file.end();
  await once(file, 'finish');
}
