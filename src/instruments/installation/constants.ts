import { GRAVITY_M_PER_S2 } from '../../physics/constants.ts';
import { GALLON_M3, PSI_PA } from '../../units/table.ts';

export const FOOT_M = 0.3048;
export const GPM_M3_PER_S = GALLON_M3 / 60;
export { HORSEPOWER_W, PSI_PA } from '../../units/table.ts';

/** Groundwater at 10 degC. */
export const WATER_KG_PER_M3 = 999.7;
export const HEAD_PA_PER_M = WATER_KG_PER_M3 * GRAVITY_M_PER_S2;

/** Feet of water in a psi and metres in a kPa, as they stand in the formulas people see. */
export const FORMULA_HEAD = {
  us: (PSI_PA / HEAD_PA_PER_M / FOOT_M).toFixed(3),
  si: (1000 / HEAD_PA_PER_M).toFixed(4),
};
