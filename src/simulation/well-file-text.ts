import { instant } from '../base/instant.ts';
import type { ResetKind } from '../model/well.ts';
import type { System } from './build-system.ts';
import { GALLON_M3, PSI_PA } from './constants.ts';
import type { BucketResult } from './keeper.ts';
import { createRandom } from './random.ts';
import type { Reporting } from './sensing/reporting.ts';
import type { TestResult } from './test-keeper.ts';
import { testText } from './test-text.ts';

const MOTOR = {
  'split-phase': '2-wire',
  'capacitor-start': '3-wire',
  'capacitor-run': '3-wire capacitor-run',
} as const;

/** The well file a keeper of this system would write: from nameplates and a bucket test. */
export function wellFileText(of: {
  name: string;
  system: System;
  seed: number;
  timeZone: string;
  reporting: Reporting;
  buckets: readonly BucketResult[];
  tests?: readonly TestResult[];
  services: readonly { onS: number; did: string; resets: readonly ResetKind[] }[];
}): string {
  const { card, nameplate } = of.system;
  const random = createRandom(of.seed, 'bucket-reading');
  const tests = of.buckets
    .map((b) => {
      const gallons = (b.volumeM3 / GALLON_M3) * (1 + 0.007 * random.normal());
      return `
[[bucket_test]]
start = ${instant(b.startS)}
stop = ${instant(b.stopS)}
volume = "${gallons.toFixed(2)} gal"
`;
    })
    .join('');
  const notes = createRandom(of.seed, 'test-notes');
  const others = (of.tests ?? []).map((test) => testText(test, notes)).join('');
  const { policy, deadbandPa, longestSilenceS } = of.reporting;
  // A device that reports faster while the pump runs is learnt from its log.
  const logging =
    policy === 'on-change'
      ? `
[logging]
policy = "on-change"
deadband = "${(deadbandPa / PSI_PA).toFixed(2)} psi"
longest_silence = "${longestSilenceS} s"
`
      : '';
  const services = of.services
    .map(
      ({ onS, did, resets }) => `
[[service]]
on = ${instant(onS)}
did = ${JSON.stringify(did)}
resets = [${resets.map((r) => `"${r}"`).join(', ')}]
`,
    )
    .join('');
  return `name = "${of.name}"
time_zone = "${of.timeZone}"
altitude = "${card.altitudeFt} ft"

[well]
static_level = "${nameplate.staticFt} ft"
casing = "${card.casingIn} in"

[pump]
motor = "${MOTOR[card.motor]}"
power = "${card.hp} hp"
voltage = "${card.volts} V"
phases = 1
full_load_current = "${nameplate.fullLoadA} A"
intake_depth = "${card.intakeFt} ft"
rated_flow = "${nameplate.ratedGpm} gpm"

[pipe]
inside_diameter = "${card.pipeIn} in"
length = "${card.intakeFt + 60} ft"

[cable]
size = "${card.awg} AWG"
length = "${card.cableFt} ft"

[tank]
volume = "${nameplate.tankGal} gal"
precharge = "${nameplate.prechargePsi} psi"

[switch]
cut_in = "${card.cutInPsi} psi"
cut_out = "${card.cutOutPsi} psi"

[relief]
opens = "${card.reliefPsi} psi"

[house]
people = ${of.system.household.people}
${logging}${tests}${others}${services}`;
}
