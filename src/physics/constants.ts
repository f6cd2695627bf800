/** Standard acceleration of free fall, exact by definition (CGPM 1901). */
export const GRAVITY_M_PER_S2 = 9.80665;
