import { type Check, FINE, found, notJudged } from './check.ts';
import { hertz, ohms, volts } from './words.ts';

// I2C-bus specification, electrical tables: low level 0.4 V at 3 mA, high from 0.7 of the supply,
// rise 1000, 300 and 120 ns, and rise = 0.8473 R C (as restated by others; itself not read).
const LOW_V = 0.4;
const SINK_A = 0.003;
const HIGH_SHARE = 0.7;
const RISE_PER_RC = 0.8473;
const RISES: readonly (readonly [toHz: number, riseS: number])[] = [
  [100e3, 1000e-9],
  [400e3, 300e-9],
  [1000e3, 120e-9],
];
/** Wire and two devices load the bus so much: common practice. */
const FARAD_PER_M = 100e-12;
const DEVICES_FARAD = 20e-12;
/** Pins bear so much above their logic level where the keeper tells nothing: common practice. */
const PINS_BEYOND_V = 0.3;

/** The pull-ups go no higher than the controller's pins bear. */
export const pullUpsTooHigh: Check = ({ chain: { bus } }) => {
  if (bus === null) return notJudged('bus', 'sensing.bus');
  const limit = bus.pinsBearV ?? (bus.logicV === null ? null : bus.logicV + PINS_BEYOND_V);
  if (limit === null || bus.pulledToV === null) {
    return notJudged('level of the bus', 'bus.pulled_to and bus.pins_bear or bus.logic');
  }
  if (bus.pulledToV <= limit) return FINE;
  const says =
    `the pull-ups go to ${volts(bus.pulledToV)}, the controller's pins bear ${volts(limit)}: it ` +
    "can destroy the controller. Pull up to the controller's supply, or put a level shifter " +
    'between';
  const rest = { channel: null, does: 'destroys', says, cautions: [] } as const;
  return found({ id: 'pull-ups-too-high', number: bus.pulledToV, limit, unit: 'V', ...rest });
};

/** The pulled-up level counts as high on the side of the converter. */
export const busHighTooLow: Check = ({ chain: { bus }, converter }) => {
  if (bus?.pulledToV == null) return FINE;
  if (converter?.supplyV == null) return notJudged('high level of the bus', 'converter.supply');
  const limit = HIGH_SHARE * converter.supplyV;
  if (bus.pulledToV >= limit) return FINE;
  const says =
    `the bus goes up to ${volts(bus.pulledToV)}, the converter at ${volts(converter.supplyV)} ` +
    `counts as high what is above ${volts(limit)}: bits get lost`;
  const rest = { channel: null, does: 'misleads', says, cautions: [] } as const;
  return found({ id: 'bus-high-too-low', number: bus.pulledToV, limit, unit: 'V', ...rest });
};

/** The pull-ups are weak enough to be pulled down. */
export const pullUpsTooStrong: Check = ({ chain: { bus } }) => {
  if (bus?.pulledToV == null) return FINE;
  if (bus.pullUpOhm === null) return notJudged('strength of the pull-ups', 'bus.pull_ups');
  const limit = (bus.pulledToV - LOW_V) / SINK_A;
  if (bus.pullUpOhm >= limit) return FINE;
  const says =
    `pull-ups of ${ohms(bus.pullUpOhm)} to ${volts(bus.pulledToV)} are stronger than the ` +
    `${ohms(limit)} that a pin can pull low`;
  const rest = { channel: null, does: 'misleads', says, cautions: [] } as const;
  return found({ id: 'pull-ups-too-strong', number: bus.pullUpOhm, limit, unit: 'ohm', ...rest });
};

/** The pull-ups are strong enough for the speed and the length of the wire. */
export const pullUpsTooWeak: Check = ({ chain: { bus } }) => {
  if (bus?.pullUpOhm == null) return FINE;
  if (bus.speedHz === null || bus.wireM === null) {
    return notJudged('speed of the bus', 'bus.speed and bus.wire');
  }
  const { speedHz, wireM } = bus;
  const rise = RISES.find(([toHz]) => speedHz <= toHz);
  if (rise === undefined) return notJudged('speed of the bus', 'a speed of 1 MHz or less');
  const farad = DEVICES_FARAD + wireM * FARAD_PER_M;
  const limit = rise[1] / (RISE_PER_RC * farad);
  if (bus.pullUpOhm <= limit) return FINE;
  const says =
    `pull-ups of ${ohms(bus.pullUpOhm)} are too weak for ${hertz(speedHz)} over ${wireM} m of ` +
    `wire: at most ${ohms(limit)}. Use smaller ones, a shorter wire or a lower speed`;
  const rest = { channel: null, does: 'misleads', says, cautions: [] } as const;
  return found({ id: 'pull-ups-too-weak', number: bus.pullUpOhm, limit, unit: 'ohm', ...rest });
};
