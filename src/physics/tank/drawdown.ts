/**
 * Water a tank gives between two pressures, slowly enough that its gas keeps its temperature.
 * @param tank.tankConstantPaM3 [Pa m3], above 0
 * @param tank.cutInPaAbs lower pressure [Pa, absolute], above 0 and not below the precharge
 * @param tank.cutOutPaAbs higher pressure [Pa, absolute], at least the lower one
 * @returns [m3]; NaN outside the range
 * Reference: [boyle-law]; worked examples in [driller-drawdown].
 */
export function drawdownM3(tank: {
  tankConstantPaM3: number;
  cutInPaAbs: number;
  cutOutPaAbs: number;
}): number {
  const { tankConstantPaM3, cutInPaAbs, cutOutPaAbs } = tank;
  if (!(tankConstantPaM3 > 0 && cutInPaAbs > 0 && cutOutPaAbs >= cutInPaAbs)) return Number.NaN;
  return tankConstantPaM3 * (1 / cutInPaAbs - 1 / cutOutPaAbs);
}
