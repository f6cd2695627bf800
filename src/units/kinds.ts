/**
 * What a quantity is a quantity of. `pressure` is gauge; absolute pressure has units of its own.
 */
export type QuantityKind =
  | 'pressure'
  | 'absolute-pressure'
  | 'length'
  | 'head'
  | 'volume'
  | 'flow'
  | 'power'
  | 'voltage'
  | 'current'
  | 'time'
  | 'area-of-conductor'
  | 'temperature'
  | 'temperature-difference'
  | 'energy-price'
  | 'fraction'
  | 'resistance'
  | 'frequency'
  | 'count'
  | 'energy'
  | 'mass';

/** An example of each kind as a keeper writes it, for messages. */
export const EXAMPLE: Record<QuantityKind, string> = {
  pressure: '38 psi',
  'absolute-pressure': '52.7 psia',
  length: '1.05 in',
  head: '428 ft',
  volume: '86 gal',
  flow: '10 gpm',
  power: '3/4 hp',
  voltage: '240 V',
  current: '8.2 A',
  time: '60 s',
  'area-of-conductor': '12 AWG',
  temperature: '55 degF',
  'temperature-difference': '2 K',
  'energy-price': '0.17 USD/kWh',
  fraction: '5 %',
  resistance: '2.2 ohm',
  frequency: '60 Hz',
  count: '2048 count',
  energy: '2.4 kWh',
  mass: '41.7 lb',
};

/** The kind in words, with its article. */
export const KIND_IN_WORDS: Record<QuantityKind, string> = {
  pressure: 'a gauge pressure',
  'absolute-pressure': 'an absolute pressure',
  length: 'a length',
  head: 'a head of water',
  volume: 'a volume',
  flow: 'a flow',
  power: 'a power',
  voltage: 'a voltage',
  current: 'a current',
  time: 'a time',
  'area-of-conductor': 'a conductor size',
  temperature: 'a temperature',
  'temperature-difference': 'a temperature difference',
  'energy-price': 'a price of energy',
  fraction: 'a fraction',
  resistance: 'a resistance',
  frequency: 'a frequency',
  count: 'a count',
  energy: 'an energy',
  mass: 'a mass',
};
