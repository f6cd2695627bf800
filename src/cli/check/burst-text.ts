import { CAUTIONS } from '../../model/cautions.ts';
import { hanging, section } from '../../report/layout.ts';
import { atSpread, withDigits } from '../../units/digits.ts';
import type { BurstChecked } from './burst.ts';

/** A burst for people: its true RMS value, how it was made, and what stands against it. */
export function burstText(burst: BurstChecked): string[] {
  const { raw, rms, offset, peak, crestFactor, doubts } = burst;
  const about = { indent: 2, hang: 13 };
  const unit = raw === 'V' ? 'V' : 'counts';
  const isKnown = Number.isFinite(rms);
  const wave =
    `${withDigits(rms, 4)} ${unit} about a middle of ${withDigits(offset, 4)} ${unit}; peak ` +
    `${withDigits(peak, 4)} ${unit}, ${withDigits(crestFactor, 3)} times the RMS value`;
  return section('Burst of current', [
    ...doubts.flatMap((says) => hanging('But', says, about)),
    ...hanging('Samples', sampleWords(burst), about),
    ...(isKnown ? hanging('True RMS', wave, about) : []),
    ...(isKnown ? hanging('Current', currentWords(burst), about) : []),
    ...burst.cautions.flatMap((id) => hanging('Caution', CAUTIONS[id], about)),
  ]);
}

function sampleWords({ samples, rateHz, cycles, how, foundHz, mainsHz }: BurstChecked): string {
  const found = Number.isFinite(foundHz)
    ? `${foundHz.toFixed(2)} Hz, found in them`
    : `${mainsHz} Hz, as told`;
  const taken = how === 'whole-cycles' ? 'taken whole' : 'a sine is fitted';
  return `${samples} at ${rateHz} Hz, ${withDigits(cycles, 3)} cycles of ${found}: ${taken}`;
}

function currentWords({ current, raw }: BurstChecked): string {
  if (current === null) {
    return `not known: the well file has no calibration of current in ${raw} in force`;
  }
  const spread = 2 * current.std;
  if (!Number.isFinite(spread)) return `${withDigits(current.value, 3)} A by the last calibration`;
  const value = `${atSpread(current.value, spread)} ± ${withDigits(spread, 2)} A`;
  return `${value} rms by the last calibration`;
}
