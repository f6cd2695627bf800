/**
 * Single-phase induction motor by the double revolving field, two windings in quadrature.
 * Impedances in ohm at the given line frequency, main-winding side.
 */
export interface MotorCircuit {
  mainOhm: number;
  mainReactanceOhm: number;
  rotorOhm: number;
  rotorReactanceOhm: number;
  magnetisingOhm: number;
  /** Auxiliary turns over main turns. */
  turnsRatio: number;
  auxiliaryOhm: number;
  auxiliaryReactanceOhm: number;
  /** Windage, bearings and iron as power at the shaft, W. */
  idleLossW: number;
  /** Reactance of the run capacitor, ohm; infinite where there is none. */
  runCapacitorOhm: number;
  /** Reactance of the start capacitor, ohm; 0 for a resistance-start winding. */
  startCapacitorOhm: number;
  synchronousRadPerS: number;
  nominalV: number;
  /** Power of the voltage by which the magnetising reactance falls, iron near saturation. */
  saturation: number;
}

/** What the circuit carries at one moment. */
export interface MotorState {
  currentA: number;
  powerW: number;
  /** Air-gap torque, N m, before idle losses. */
  torqueNm: number;
  /** Copper losses in the windings on the stator, W. */
  windingLossW: number;
  /** Losses in everything between the meter and the motor, W. */
  supplyLossW: number;
  /** Losses in the rotor and delivered by the air gap together, W. */
  airGapW: number;
}

export interface MotorDrive {
  voltageV: number;
  /** Series resistance of supply and drop cable, ohm. */
  supplyOhm: number;
  /** How the auxiliary winding is fed. */
  auxiliary: 'open' | 'run' | 'start';
  /** Stator winding resistance over its cold value. */
  statorHeat: number;
  rotorHeat: number;
  /** Capacitance left, share. */
  runCapacitance: number;
  startCapacitance: number;
}

const OPEN = Number.NEGATIVE_INFINITY;

/** Series reactance of the auxiliary's capacitor bank, ohm, negative. */
function capacitorOhm(circuit: MotorCircuit, drive: MotorDrive): number {
  const run = drive.runCapacitance / circuit.runCapacitorOhm;
  if (drive.auxiliary === 'run') return run > 0 ? -1 / run : OPEN;
  if (circuit.startCapacitorOhm === 0) return 0;
  return -1 / (run + drive.startCapacitance / circuit.startCapacitorOhm);
}

/** Forward and backward rotor impedances seen from the main winding: Zf and Zb, re and im. */
const rotor = new Float64Array(4);
/** Main and auxiliary current, re and im. */
const currents = new Float64Array(4);

/** j Xm/2 parallel to R2/(2 s) + j X2/2, and the same with 2 - s, into `rotor`. */
function solveRotor(circuit: MotorCircuit, drive: MotorDrive, slip: number): void {
  const saturation = (drive.voltageV / circuit.nominalV) ** -circuit.saturation;
  const halfXm = (circuit.magnetisingOhm * saturation) / 2;
  const halfX2 = circuit.rotorReactanceOhm / 2;
  const r2 = circuit.rotorOhm * drive.rotorHeat;
  for (let k = 0; k < 2; k++) {
    const r = r2 / (2 * (k === 0 ? slip : 2 - slip));
    const d = r * r + (halfXm + halfX2) ** 2;
    rotor[2 * k] = (halfXm * halfXm * r) / d;
    rotor[2 * k + 1] = (halfXm * (r * r + halfX2 * (halfXm + halfX2))) / d;
  }
}

/** Both windings' equations by Cramer's rule, into `currents`. */
function solveCurrents(circuit: MotorCircuit, drive: MotorDrive, rAux: number): void {
  const fRe = rotor[0]!;
  const fIm = rotor[1]!;
  const bRe = rotor[2]!;
  const bIm = rotor[3]!;
  const v = drive.voltageV;
  const zRe = circuit.mainOhm * drive.statorHeat + drive.supplyOhm + fRe + bRe;
  const zIm = circuit.mainReactanceOhm + fIm + bIm;
  const capacitor = drive.auxiliary === 'open' ? OPEN : capacitorOhm(circuit, drive);
  if (capacitor === OPEN) {
    const d = zRe * zRe + zIm * zIm;
    currents[0] = (v * zRe) / d;
    currents[1] = (-v * zIm) / d;
    currents[2] = 0;
    currents[3] = 0;
    return;
  }
  const a = circuit.turnsRatio;
  const yRe = rAux + drive.supplyOhm + a * a * (fRe + bRe);
  const yIm = circuit.auxiliaryReactanceOhm + capacitor + a * a * (fIm + bIm);
  // -j a (Zf - Zb), which the supply's resistance joins with one sign in both rows
  const cRe = a * (fIm - bIm);
  const cIm = -a * (fRe - bRe);
  const pRe = drive.supplyOhm + cRe;
  const qRe = drive.supplyOhm - cRe;
  const dRe = zRe * yRe - zIm * yIm - (pRe * qRe + cIm * cIm);
  const dIm = zRe * yIm + zIm * yRe - (cIm * qRe - pRe * cIm);
  const dd = dRe * dRe + dIm * dIm;
  const mRe = v * (yRe - pRe);
  const mIm = v * (yIm - cIm);
  const aRe = v * (zRe - qRe);
  const aIm = v * (zIm + cIm);
  currents[0] = (mRe * dRe + mIm * dIm) / dd;
  currents[1] = (mIm * dRe - mRe * dIm) / dd;
  currents[2] = (aRe * dRe + aIm * dIm) / dd;
  currents[3] = (aIm * dRe - aRe * dIm) / dd;
}

/**
 * Currents, power and torque of the motor at a slip, written into `out` (hot path).
 * Main: V = (Z1 + Zs + Zf + Zb) Im + (Zs - j a (Zf - Zb)) Ia; auxiliary alike with its own
 * impedance and capacitor; Zs the supply's, in both rows since both currents flow in it.
 * Air-gap power Re[Zf] and Re[Zb] times the squared forward and backward currents. Slip 0 to 2.
 * Source: P. C. Sen, Principles of Electric Machines, 2nd ed. 1997, chapter 7 (from memory);
 * checked here by power balance.
 */
export function solveMotor(
  circuit: MotorCircuit,
  drive: MotorDrive,
  slip: number,
  out: MotorState,
): void {
  // In a resistance-start winding the worn start switch is what `startCapacitance` says.
  const worn = circuit.startCapacitorOhm === 0 ? 1 / drive.startCapacitance : 1;
  const rMain = circuit.mainOhm * drive.statorHeat;
  const rAux = circuit.auxiliaryOhm * drive.statorHeat * worn;
  solveRotor(circuit, drive, slip);
  solveCurrents(circuit, drive, rAux);
  const mRe = currents[0]!;
  const mIm = currents[1]!;
  const aRe = currents[2]!;
  const aIm = currents[3]!;
  const a = circuit.turnsRatio;
  const main2 = mRe * mRe + mIm * mIm;
  const aux2 = aRe * aRe + aIm * aIm;
  const line2 = (mRe + aRe) ** 2 + (mIm + aIm) ** 2;
  // |Im||Ia| sin(angle by which the auxiliary current leads)
  const cross = mRe * aIm - mIm * aRe;
  const forwardW = rotor[0]! * (main2 + a * a * aux2 + 2 * a * cross);
  const backwardW = rotor[2]! * (main2 + a * a * aux2 - 2 * a * cross);
  out.currentA = Math.sqrt(line2);
  out.powerW = drive.voltageV * (mRe + aRe);
  out.torqueNm = (forwardW - backwardW) / circuit.synchronousRadPerS;
  out.airGapW = forwardW + backwardW;
  out.windingLossW = rMain * main2 + rAux * aux2;
  out.supplyLossW = drive.supplyOhm * line2;
}
