import type { InstallationResult } from '../../model/installation.ts';
import { drawdownM3 } from '../../physics/tank/drawdown.ts';
import { tankConstantPaM3 } from '../../physics/tank/tank-constant.ts';
import { PSI_PA } from './constants.ts';
import { assumed, type Given, worked } from './result.ts';
import type { Site } from './site.ts';

/** What the tank holds ready; `drawdown` is in the list too. */
export function tankChecks(site: Site) {
  const drawdown = tankDrawdown(site);
  return { list: [airCharge(site), drawdown], drawdown };
}

/** The air charge of the file, else the usual 2 psi below cut-in. */
function charge(site: Site): Given {
  const told = site.get('prechargePaGauge');
  const cutIn = site.get('cutInPaGauge');
  if (!('needs' in told) || 'needs' in cutIn) return told;
  return assumed('air charge, tank empty', cutIn.value - 2 * PSI_PA, {
    std: 5 * PSI_PA,
    kind: 'pressure',
    because: 'no tank.precharge: 2 psi below cut-in as it should be',
  });
}

function airCharge(site: Site): InstallationResult {
  return worked({
    id: 'air-charge',
    title: 'Air charge below cut-in',
    formula: 'b = pin - ppre',
    source: 'Water Systems Council, pressure tank sheet, January 2007: 2 psi below cut-in.',
    kind: 'pressure',
    inputs: { pin: site.get('cutInPaGauge'), ppre: site.get('prechargePaGauge') },
    value: ({ pin, ppre }) => pin - ppre,
    limit: {
      least: { value: 0 },
      most: { value: 4 * PSI_PA },
      rule: '2 psi, give or take the 2 psi of a tyre gauge',
      source: 'Water Systems Council, January 2007',
    },
    says: {
      good: 'As it should be; it leaks away by a few psi a year.',
      bad: (value) =>
        value < 0
          ? 'The tank is empty of water before the pump starts: taps go dead for a moment.'
          : 'Low air: the tank gives less than it could, and the pump starts more often.',
    },
    acts: ['adjust-tank-air'],
  });
}

function tankDrawdown(site: Site): InstallationResult {
  // Below the air charge the tank holds no water: it gives none from there down to cut-in.
  const { prechargePaGauge, cutInPaGauge } = site.equipment;
  const isOver = (prechargePaGauge?.value ?? 0) > (cutInPaGauge?.value ?? 0);
  const lower = isOver ? 'ppre' : 'pin';
  return worked({
    id: 'tank-drawdown',
    title: 'Drawdown of the tank',
    formula: `V = Vt * (ppre + pa) * (1 / (${lower} + pa) - 1 / (pout + pa))`,
    source: "Boyle's law; worked examples in the trade press (30/50, 28 psi, 85 gal: 25.1 gal).",
    kind: 'volume',
    inputs: {
      Vt: site.get('tankVolumeM3'),
      ppre: charge(site),
      pin: site.get('cutInPaGauge'),
      pout: site.get('cutOutPaGauge'),
      pa: site.air(),
    },
    value: ({ Vt, ppre, pin, pout, pa }) => {
      const tankConstant = tankConstantPaM3(Vt, ppre + pa);
      const cutInPaAbs = Math.max(pin, ppre) + pa;
      const cutOutPaAbs = pout + pa;
      return drawdownM3({ tankConstantPaM3: tankConstant, cutInPaAbs, cutOutPaAbs });
    },
    says: {
      good: 'Water between cut-out and cut-in, drawn slowly.',
      none: 'The air charge is not below cut-out: the tank holds no water to give.',
    },
    acts: [],
  });
}
