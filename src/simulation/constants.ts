import { GALLON_M3 } from '../units/table.ts';

export { GALLON_M3, HORSEPOWER_W, PSI_PA } from '../units/table.ts';

/** Trade units in SI, exact by definition (NIST SP 811, Appendix B). */
export const GPM_M3_PER_S = GALLON_M3 / 60;
export const FOOT_M = 0.3048;
export const INCH_M = 0.0254;
export const DAY_S = 86_400;

/** Standard gravity, m/s2. */
export const GRAVITY_M_PER_S2 = 9.80665;
/** Groundwater near 10 degC (IAPWS-95 gives 999.70 kg/m3 and 1.306e-3 Pa s). */
const WATER_KG_PER_M3 = 999.7;
export const WATER_KINEMATIC_M2_PER_S = 1.3064e-6;
/** Pa per metre of water column. */
export const WATER_PA_PER_M = WATER_KG_PER_M3 * GRAVITY_M_PER_S2;
/** Dry air: gas constant and heat capacity at constant volume, J/(kg K). */
export const AIR_GAS_CONSTANT_J_PER_KG_K = 287.05;
export const AIR_CV_J_PER_KG_K = 717.8;
