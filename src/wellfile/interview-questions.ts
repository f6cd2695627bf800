import type { ACT_CAUTIONS } from '../model/cautions.ts';
import type { QuantityKind } from '../units/parse.ts';

export interface Question {
  /** Dotted key of the well file. */
  key: string;
  ask: string;
  /** What the answer is good for; stands in the file too. */
  gives: string;
  /** A kind of quantity, words to choose from, a whole number, the pump curve or plain text. */
  answer: QuantityKind | readonly string[] | 'whole' | 'curve' | 'text';
  example: string;
  /** An act someone may be tempted to for the answer: its cautions stand beside the question. */
  act?: keyof typeof ACT_CAUTIONS;
}

const MOTORS = ['2-wire', '3-wire', '3-wire capacitor-run', 'three-phase'] as const;

/** What matters first comes first: name, units, then water, power, safety, and the rest. */
export const QUESTIONS: readonly Question[] = [
  {
    key: 'name',
    ask: 'What is the well called?',
    gives: 'name of the well',
    answer: 'text',
    example: 'Gravel bend',
  },
  {
    key: 'units',
    ask: 'Units to read: us (psi, gal, gpm, ft) or si (kPa, L, L/min, m)?',
    gives: 'units in which results are shown; answers may use either',
    answer: ['us', 'si'],
    example: 'us',
  },
  {
    key: 'tank.volume',
    ask: 'Whole volume of the pressure tank, as on its label?',
    gives: 'total volume, water and air: turns pressure into gallons',
    answer: 'volume',
    example: '44 gal',
  },
  {
    key: 'switch.cut_in',
    ask: 'Pressure at which the pump starts (cut-in)?',
    gives: 'pressure at which the pump starts',
    answer: 'pressure',
    example: '40 psi',
  },
  {
    key: 'switch.cut_out',
    ask: 'Pressure at which the pump stops (cut-out)?',
    gives: 'pressure at which the pump stops',
    answer: 'pressure',
    example: '60 psi',
  },
  {
    key: 'tank.precharge',
    ask: 'Air charge of the tank when it was last checked, empty of water?',
    gives: 'air pressure with the tank empty of water: the water it can give',
    answer: 'pressure',
    example: '38 psi',
    act: 'precharge',
  },
  {
    key: 'tank.rated_pressure',
    ask: 'Greatest working pressure on the label of the tank?',
    gives: 'greatest working pressure of the tank: safety',
    answer: 'pressure',
    example: '125 psi',
  },
  {
    key: 'relief.opens',
    ask: 'Pressure at which the relief valve opens, as on its tag?',
    gives: 'pressure at which the relief valve opens: safety',
    answer: 'pressure',
    example: '75 psi',
    act: 'see-to-relief',
  },
  {
    key: 'pump.kind',
    ask: 'Submersible pump in the well, or jet pump above it?',
    gives: 'submersible or jet',
    answer: ['submersible', 'jet'],
    example: 'submersible',
  },
  {
    key: 'pump.power',
    ask: 'Rated power of the pump motor, from papers or the outside of its box?',
    gives: 'rated shaft power: limits on starts, delivery',
    answer: 'power',
    example: '3/4 hp',
    act: 'electrician',
  },
  {
    key: 'pump.voltage',
    ask: 'Its rated voltage?',
    gives: 'rated voltage: energy, cable',
    answer: 'voltage',
    example: '230 V',
  },
  {
    key: 'pump.motor',
    ask: 'Which motor? (2-wire has no control box; capacitor-run says so on the box)',
    gives: 'kind of motor: power factor, energy',
    answer: MOTORS,
    example: '3-wire',
  },
  {
    key: 'pump.service_factor_current',
    ask: 'Greatest running current allowed (service-factor or SF amps)?',
    gives: 'greatest running current allowed: energy, cable',
    answer: 'current',
    example: '9.8 A',
  },
  {
    key: 'pump.full_load_current',
    ask: 'Running current at rated load (full-load amps)?',
    gives: 'running current at rated load: energy',
    answer: 'current',
    example: '8.2 A',
  },
  {
    key: 'pump.rated_flow',
    ask: 'Flow the pump is sold for?',
    gives: 'flow of best efficiency: delivery',
    answer: 'flow',
    example: '10 gpm',
  },
  {
    key: 'well.static_level',
    ask: "Depth to water in the rested well, from the driller's log?",
    gives: 'depth to water, rested: head, levels',
    answer: 'length',
    example: "110 ft, driller's log",
    act: 'sounding',
  },
  {
    key: 'pump.intake_depth',
    ask: 'Depth of the pump (jet: of the foot valve or ejector)?',
    gives: 'depth of the intake: room for the level to fall',
    answer: 'length',
    example: '260 ft',
  },
  {
    key: 'pipe.inside_diameter',
    ask: 'Inside diameter of the drop pipe?',
    gives: 'inside diameter of the drop pipe: friction',
    answer: 'length',
    example: '1.05 in',
  },
  {
    key: 'pipe.length',
    ask: 'Length of pipe from the pump to the tank?',
    gives: 'drop pipe and line to the tank: friction',
    answer: 'length',
    example: '260 ft',
  },
  {
    key: 'pipe.material',
    ask: 'Material of the pipe?',
    gives: 'roughness of the pipe: friction',
    answer: ['plastic', 'steel', 'copper'],
    example: 'plastic',
  },
  {
    key: 'cable.size',
    ask: 'Size of the pump cable, from papers or its print?',
    gives: 'conductor: voltage at the motor',
    answer: 'area-of-conductor',
    example: '12 AWG',
    act: 'electrician',
  },
  {
    key: 'cable.length',
    ask: 'Length of the cable from the panel to the motor, one way?',
    gives: 'length of cable, one way: voltage at the motor',
    answer: 'length',
    example: '320 ft',
  },
  {
    key: 'well.casing',
    ask: 'Inside diameter of the well casing?',
    gives: 'inside diameter of the casing: cooling, water stored in the well',
    answer: 'length',
    example: '6 in',
  },
  {
    key: 'pump.curve',
    ask: "Points of the maker's curve, flow at head, two or more?",
    gives: 'flow and head of the pump: delivery',
    answer: 'curve',
    example: '0 gpm at 428 ft; 10 gpm at 308 ft',
  },
  {
    key: 'altitude',
    ask: 'Altitude of the well?',
    gives: 'altitude: pressure of the air, on which gauges stand',
    answer: 'length',
    example: '1600 ft',
  },
  {
    key: 'time_zone',
    ask: 'Time zone, by its name?',
    gives: 'time zone of days and of times without an offset',
    answer: 'text',
    example: 'America/Denver',
  },
  {
    key: 'energy.price',
    ask: 'Price of electricity?',
    gives: 'price of electricity: cost of water',
    answer: 'energy-price',
    example: '0.17 USD/kWh',
  },
  {
    key: 'house.people',
    ask: 'How many people live there?',
    gives: 'people in the house: starts a day',
    answer: 'whole',
    example: '3',
  },
];
