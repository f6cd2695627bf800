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

/** Series reactance of the auxiliary's capacitor bank, ohm, negative. */
function capacitorOhm(circuit: MotorCircuit, drive: MotorDrive): number {
  const run = drive.runCapacitance / circuit.runCapacitorOhm;
  if (drive.auxiliary === 'run') return run > 0 ? -1 / run : Number.NEGATIVE_INFINITY;
  if (circuit.startCapacitorOhm === 0) return 0;
  return -1 / (run + drive.startCapacitance / circuit.startCapacitorOhm);
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
  const saturation = (drive.voltageV / circuit.nominalV) ** -circuit.saturation;
  const halfXm = (circuit.magnetisingOhm * saturation) / 2;
  const halfX2 = circuit.rotorReactanceOhm / 2;
  const r2 = circuit.rotorOhm * drive.rotorHeat;
  // jXm/2 parallel to R2/(2s) + jX2/2
  const rf = r2 / (2 * slip);
  const df = rf * rf + (halfXm + halfX2) ** 2;
  const fRe = (halfXm * halfXm * rf) / df;
  const fIm = (halfXm * (rf * rf + halfX2 * (halfXm + halfX2))) / df;
  const rb = r2 / (2 * (2 - slip));
  const db = rb * rb + (halfXm + halfX2) ** 2;
  const bRe = (halfXm * halfXm * rb) / db;
  const bIm = (halfXm * (rb * rb + halfX2 * (halfXm + halfX2))) / db;
  const rMain = circuit.mainOhm * drive.statorHeat;
  const zRe = rMain + drive.supplyOhm + fRe + bRe;
  const zIm = circuit.mainReactanceOhm + fIm + bIm;
  let imRe = 0;
  let imIm = 0;
  let iaRe = 0;
  let iaIm = 0;
  const a = circuit.turnsRatio;
  // In a resistance-start winding the worn start switch is what `startCapacitance` says.
  const worn = circuit.startCapacitorOhm === 0 ? 1 / drive.startCapacitance : 1;
  const rAux = circuit.auxiliaryOhm * drive.statorHeat * worn;
  const capacitor =
    drive.auxiliary === 'open' ? Number.NEGATIVE_INFINITY : capacitorOhm(circuit, drive);
  if (capacitor === Number.NEGATIVE_INFINITY) {
    const d = zRe * zRe + zIm * zIm;
    imRe = (drive.voltageV * zRe) / d;
    imIm = (-drive.voltageV * zIm) / d;
  } else {
    const yRe = rAux + drive.supplyOhm + a * a * (fRe + bRe);
    const yIm = circuit.auxiliaryReactanceOhm + capacitor + a * a * (fIm + bIm);
    // -j a (Zf - Zb)
    const cRe = a * (fIm - bIm);
    const cIm = -a * (fRe - bRe);
    const pRe = drive.supplyOhm + cRe;
    const qRe = drive.supplyOhm - cRe;
    // determinant Z Y - (Zs + c)(Zs - c)
    const dRe = zRe * yRe - zIm * yIm - (pRe * qRe + cIm * cIm);
    const dIm = zRe * yIm + zIm * yRe - (cIm * qRe - pRe * cIm);
    const dd = dRe * dRe + dIm * dIm;
    const nmRe = drive.voltageV * (yRe - pRe);
    const nmIm = drive.voltageV * (yIm - cIm);
    const naRe = drive.voltageV * (zRe - qRe);
    const naIm = drive.voltageV * (zIm + cIm);
    imRe = (nmRe * dRe + nmIm * dIm) / dd;
    imIm = (nmIm * dRe - nmRe * dIm) / dd;
    iaRe = (naRe * dRe + naIm * dIm) / dd;
    iaIm = (naIm * dRe - naRe * dIm) / dd;
  }
  const lineRe = imRe + iaRe;
  const lineIm = imIm + iaIm;
  const line2 = lineRe * lineRe + lineIm * lineIm;
  const squares = imRe * imRe + imIm * imIm + a * a * (iaRe * iaRe + iaIm * iaIm);
  // |Im||Ia| sin(angle by which the auxiliary current leads)
  const cross = imRe * iaIm - imIm * iaRe;
  const forwardW = fRe * (squares + 2 * a * cross);
  const backwardW = bRe * (squares - 2 * a * cross);
  out.currentA = Math.sqrt(line2);
  out.powerW = drive.voltageV * lineRe;
  out.torqueNm = (forwardW - backwardW) / circuit.synchronousRadPerS;
  out.airGapW = forwardW + backwardW;
  out.windingLossW = rMain * (imRe * imRe + imIm * imIm) + rAux * (iaRe * iaRe + iaIm * iaIm);
  out.supplyLossW = drive.supplyOhm * line2;
}
