/** Fall acceleration in m/s² at which every figure of this project is computed. */
export const GRAVITY_M_S2 = 9.81;
