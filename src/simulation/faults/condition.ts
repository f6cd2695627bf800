/** A leak as an orifice or crack: flow at 50 psi gauge, growing with pressure to this power. */
export interface Leak {
  flowAt50PsiM3PerS: number;
  exponent: number;
}

/**
 * What is wrong with the plant and its sensors at one moment. `sound()` is a system without fault;
 * each fault of the catalogue changes some of these, and nothing else.
 */
export interface Condition {
  // Tank and house side
  gasShare: number;
  /** Free cross-section of the way into the tank, share. */
  tankValveShare: number;
  houseLeak: Leak;
  lineLeak: Leak;
  reliefOpensShiftPa: number;
  filterShare: number;
  hammerPa: number;
  /** Extra draws by fixtures that run on their own: refill volume and period. */
  refillM3: number;
  refillEveryS: number;
  seepM3PerS: number;
  steadyUseM3PerS: number;
  // Well side
  staticShiftM: number;
  /** Share of the aquifer's transmissivity left below the fracture, and clogging of the screen. */
  skinFactor: number;
  /** Depth of the only fracture, m; infinite where the bore is open to the whole aquifer. */
  fractureDepthM: number;
  /** Loss of head per flow squared in intake or discharge, over rated head at rated flow. */
  chokeShare: number;
  gasInWater: number;
  checkLeakShare: number;
  /** A second check valve at the surface holds the house: the drop pipe drains instead. */
  riserDrains: boolean;
  /** Hole in the drop pipe: flow at 50 m of head, and where. */
  pipeHoleM3PerS: number;
  pipeHoleDepthShare: number;
  lineFrozen: boolean;
  // Pump and motor
  wearLeakFactor: number;
  diameterLoss: number;
  coupled: boolean;
  dragShare: number;
  /** Flow of another pump over the old one's, and size of its motor. */
  pumpScale: number;
  motorScale: number;
  rotorLocked: boolean;
  startCapacitance: number;
  /** Start winding switched in, share of tries. */
  startMissShare: number;
  startStuck: boolean;
  runCapacitance: number;
  protectorShare: number;
  voltageShare: number;
  jointOhm: number;
  powerOut: boolean;
  // Switch
  nippleLagS: number;
  nippleFrozen: boolean;
  cutInShiftPa: number;
  cutOutShiftPa: number;
  chatter: number;
  welded: boolean;
  contactsOpen: boolean;
  // Sensing
  pressureZeroPa: number;
  pressureGain: number;
  pressureStuckAt: 'none' | 'low' | 'high' | 'last';
  supplySagShare: number;
  portLagS: number;
  currentGain: number;
  currentClipA: number;
  currentOff: boolean;
  clockShiftS: number;
  silent: boolean;
  /** Longer interval between readings, s; 0 as the device is set. */
  slowS: number;
}

export function sound(): Condition {
  return {
    gasShare: 1,
    tankValveShare: 1,
    houseLeak: { flowAt50PsiM3PerS: 0, exponent: 0.5 },
    lineLeak: { flowAt50PsiM3PerS: 0, exponent: 0.5 },
    reliefOpensShiftPa: 0,
    filterShare: 1,
    hammerPa: 0,
    refillM3: 0,
    refillEveryS: 0,
    seepM3PerS: 0,
    steadyUseM3PerS: 0,
    staticShiftM: 0,
    skinFactor: 1,
    fractureDepthM: Number.POSITIVE_INFINITY,
    chokeShare: 0,
    gasInWater: 0,
    checkLeakShare: 0,
    riserDrains: false,
    pipeHoleM3PerS: 0,
    pipeHoleDepthShare: 0.5,
    lineFrozen: false,
    wearLeakFactor: 1,
    diameterLoss: 0,
    coupled: true,
    dragShare: 0,
    pumpScale: 1,
    motorScale: 1,
    rotorLocked: false,
    startCapacitance: 1,
    startMissShare: 0,
    startStuck: false,
    runCapacitance: 1,
    protectorShare: 1,
    voltageShare: 1,
    jointOhm: 0,
    powerOut: false,
    nippleLagS: 0.03,
    nippleFrozen: false,
    cutInShiftPa: 0,
    cutOutShiftPa: 0,
    chatter: 0,
    welded: false,
    contactsOpen: false,
    pressureZeroPa: 0,
    pressureGain: 1,
    pressureStuckAt: 'none',
    supplySagShare: 0,
    portLagS: 0.05,
    currentGain: 1,
    currentClipA: Number.POSITIVE_INFINITY,
    currentOff: false,
    clockShiftS: 0,
    silent: false,
    slowS: 0,
  };
}
