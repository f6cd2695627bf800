import type { ACT_CAUTIONS } from '../model/cautions.ts';

/** A part of the measuring chain that is asked for in one go. */
export const CHAIN_PARTS = ['pressure', 'current', 'converter', 'bus', 'sampling'] as const;
export type ChainPart = (typeof CHAIN_PARTS)[number];

export interface ChainQuestion {
  /** Dotted key below `[sensing]`. */
  key: string;
  ask: string;
  /** What the answer is good for. */
  gives: string;
  /** One value with its unit, two of them, one or more, a whole number, or words to choose from. */
  answer: 'one' | 'two' | 'some' | 'whole' | readonly string[];
  example: string;
  /** An act someone may be tempted to for the answer: its cautions stand beside the question. */
  act?: keyof typeof ACT_CAUTIONS;
}

/** How `true` and `false` are asked for. */
export const YES_NO = ['yes', 'no'] as const;

const one = (key: string, ask: string, gives: string, example: string): ChainQuestion => ({
  ...{ key, ask, gives, example },
  answer: 'one',
});

/** What matters first comes first in each part. */
export const CHAIN_QUESTIONS: Record<ChainPart, readonly ChainQuestion[]> = {
  pressure: [
    one(
      'pressure.range',
      'Pressure at the upper end of the sensor’s output, as on its label?',
      'pressure for each volt; whether it reaches above the relief valve',
      '150 psi',
    ),
    {
      key: 'pressure.output',
      ask: 'Its output at no pressure and at full range?',
      gives: 'pressure for each volt; whether the converter bears it',
      answer: 'two',
      example: '0.5 V to 4.5 V',
    },
    one('pressure.supply', 'Supply of the sensor?', 'what a sag of it reads as', '5 V'),
    {
      key: 'pressure.ratiometric',
      ask: 'Does the output follow the supply (ratiometric)?',
      gives: 'whether a sag of the supply reads as pressure',
      answer: YES_NO,
      example: 'yes',
    },
    {
      key: 'pressure.divider',
      ask: 'A divider behind it: resistor from the sensor to the input, and from there to ground?',
      gives: 'volts at the converter',
      answer: 'two',
      example: '5.6 kohm and 10 kohm',
    },
    one('pressure.divider_tolerance', 'How far may each resistor be off?', 'uncertainty', '1 %'),
    one('pressure.accuracy', 'Total error, share of full range?', 'uncertainty', '1 %'),
    one(
      'pressure.temperature_error_per_kelvin',
      'Temperature error for each kelvin, share of full range?',
      'uncertainty',
      '0.03 %',
    ),
    one(
      'pressure.temperature_swing',
      'How far does the temperature go from that of the calibration?',
      'uncertainty',
      '15 K',
    ),
    one('pressure.drift_per_year', 'Drift in a year, share of full range?', 'uncertainty', '0.3 %'),
    one('pressure.supply_sag', 'How far may the supply be off?', 'uncertainty', '2 %'),
    one('pressure.noise', 'Scatter of one reading?', 'what is seen as pressure', '0.05 psi'),
  ],
  current: [
    {
      ...one(
        'current.range',
        'Rated current of the clamp, as on its label or papers?',
        'current for each volt; whether the clamp fits the pump',
        '30 A',
      ),
      act: 'electrician',
    },
    one(
      'current.output',
      'Its output at the rated current: volts (burden built in) or a current?',
      'current for each volt',
      '15 mA',
    ),
    {
      ...one(
        'current.burden',
        'Resistor across a current output (burden)?',
        'volts at the converter; without one the output can kill',
        '22 ohm',
      ),
      act: 'fit-current-clamp',
    },
    one(
      'current.burden_limit',
      'Greatest burden that its maker allows at the rated current?',
      'whether the core saturates',
      '100 ohm',
    ),
    one(
      'current.bias',
      'Voltage that the wave stands on at the input?',
      'half waves cut off',
      '1.65 V',
    ),
    {
      key: 'current.differential',
      ask: 'Do both wires go to a pair of inputs, and is their difference read?',
      gives: 'half waves cut off',
      answer: YES_NO,
      example: 'no',
    },
    {
      key: 'current.divider',
      ask: 'A divider behind it: resistor to the input, and from there to the middle of the wave?',
      gives: 'volts at the converter',
      answer: 'two',
      example: '1 ohm and 1 Mohm',
    },
    one('current.divider_tolerance', 'How far may each resistor be off?', 'uncertainty', '1 %'),
    {
      key: 'current.class',
      ask: 'Its accuracy class (IEC 61869-2)?',
      gives: 'uncertainty of the current',
      answer: ['0.2', '0.5', '0.5S', '1', '3', '5'],
      example: '1',
    },
    one(
      'current.accuracy',
      'Without a class: ratio error, share of the reading?',
      'uncertainty of the current',
      '1 %',
    ),
    one('current.noise', 'What does it show with no current?', 'least current seen', '0.04 A'),
  ],
  converter: [
    {
      key: 'converter.bits',
      ask: 'Bits of the converter?',
      gives: 'least step of pressure and current',
      answer: 'whole',
      example: '16',
    },
    {
      key: 'converter.range',
      ask: 'Its full scale, or all that can be chosen?',
      gives: 'what can be read at all; the range to choose',
      answer: 'some',
      example: '4.096 V; 2.048 V; 1.024 V',
    },
    {
      key: 'converter.signed',
      ask: 'Do its codes run from minus to plus the range?',
      gives: 'half waves cut off',
      answer: YES_NO,
      example: 'yes',
    },
    one('converter.supply', 'Supply of the converter?', 'what its inputs bear', '3.3 V'),
    {
      key: 'converter.reference',
      ask: 'What is a code a share of: a fixed voltage inside (absolute), or the supply?',
      gives: 'whether a sag of the supply reads as pressure',
      answer: ['absolute', 'supply'],
      example: 'absolute',
    },
    one('converter.rate', 'Samples each second of one channel in a burst?', 'aliasing', '860 Hz'),
    one('pressure.gain', 'Range in use for the pressure?', 'range wasted or too small', '4.096 V'),
    one('current.gain', 'Range in use for the current?', 'range wasted or too small', '1.024 V'),
    {
      key: 'wiring.common_ground',
      ask: 'Do sensor, converter and controller share a ground?',
      gives: 'whether readings mean anything',
      answer: YES_NO,
      example: 'yes',
    },
    one(
      'converter.beyond',
      'How far may an input stand above the supply or below ground?',
      'what destroys it',
      '0.3 V',
    ),
    one('converter.accuracy', 'Its error, share of the range?', 'uncertainty', '0.1 %'),
  ],
  bus: [
    one('bus.logic', 'Logic level of the controller?', 'what its pins bear', '3.3 V'),
    one('bus.pulled_to', 'Voltage that the pull-ups go to?', 'what the pins bear', '3.3 V'),
    one('bus.pull_ups', 'Pull-ups, all in parallel as one?', 'edges of the bus', '4.7 kohm'),
    one('bus.speed', 'Clock of the bus?', 'edges of the bus', '100 kHz'),
    one('bus.wire', 'Length of its wire?', 'edges of the bus', '0.5 m'),
    one('bus.pins_bear', 'Most that the pins stand?', 'what destroys the controller', '3.6 V'),
  ],
  sampling: [
    one('sampling.interval', 'Time between readings at rest?', 'what can be told', '5 s'),
    one('sampling.while_running', 'The same while the pump runs?', 'what can be told', '1 s'),
    one('sampling.mains', 'Frequency of the mains?', 'whether windows hold whole cycles', '60 Hz'),
    one(
      'sampling.window',
      'Length of the burst of which one RMS value is made?',
      'whether windows hold whole cycles',
      '200 ms',
    ),
    {
      key: 'sampling.start_time',
      ask: 'Does the device itself report how long a start takes (start-time)?',
      gives: 'what can be told of starts',
      answer: YES_NO,
      example: 'yes',
    },
    {
      key: 'sampling.current_peak',
      ask: 'Does the device itself report the peak of a start (current-peak)?',
      gives: 'what can be told of starts',
      answer: YES_NO,
      example: 'yes',
    },
  ],
};
