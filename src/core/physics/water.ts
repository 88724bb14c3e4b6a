/** Properties of water at 0.1 MPa. Temperatures in °C. */

/** °C within which the forms hold. */
export const WATER_VALIDITY = { temperature: { least: 0, greatest: 100 } } as const;

/** IAPWS SR6-08(2011), table 1: coefficients of the volume. */
const A = [6.74458446e3, -2.22521604e5, 1.00231247e8, -1.63552118e9, 8.32299658e9];
const A_POWERS = [4, 5, 7, 8, 9];
const B = [5.78545292e-3, -1.53195665e-2, 3.11337859e-2, -4.23546241e-2, 3.38713507e-2, -1.19946761e-2];

/**
 * Density of liquid water at 0.1 MPa, kg/m³ (IAPWS SR6-08, equation for the volume).
 * Valid from −20 to 110 °C; liquid.
 */
export const waterDensity = (celsius: number): number => {
  const kelvin = celsius + 273.15;
  const alpha = 10 / (593 - kelvin);
  const beta = 10 / (kelvin - 232);
  let sum = 1.93763157e-2;
  for (let i = 0; i < A.length; i += 1) sum += A[i]! * alpha ** A_POWERS[i]!;
  for (let i = 0; i < B.length; i += 1) sum += B[i]! * beta ** (i + 1);
  return 100_000 / (461.51805 * 10 * sum);
};

/** Dynamic viscosity at 0.1 MPa, Pa·s: 1e-6 Σ aᵢ (T/300 K)^bᵢ (IAPWS SR6-08). Valid from −20 to 110 °C. */
export const waterViscosity = (celsius: number): number => {
  const x = (celsius + 273.15) / 300;
  return 1e-6 * (280.68 * x ** -1.9 + 511.45 * x ** -7.7 + 61.131 * x ** -19.6 + 0.45903 * x ** -40);
};

/** Kinematic viscosity, m²/s. */
export const kinematicViscosity = (celsius: number): number => waterViscosity(celsius) / waterDensity(celsius);

const CRITICAL_TEMPERATURE = 647.096;
const CRITICAL_PRESSURE = 22.064e6;
const CRITICAL_DENSITY = 322;
const P = [-7.85951783, 1.84408259, -11.7866497, 22.6807411, -15.9618719, 1.80122502];
const P_POWERS = [1, 1.5, 3, 3.5, 4, 7.5];
const L = [1.99274064, 1.09965342, -0.510839303, -1.75493479, -45.5170352, -6.7469445e5];
const L_POWERS = [1 / 3, 2 / 3, 5 / 3, 16 / 3, 43 / 3, 110 / 3];
const V = [-2.0315024, -2.6830294, -5.38626492, -17.2991605, -44.7586581, -63.9201063];
const V_POWERS = [2 / 6, 4 / 6, 8 / 6, 18 / 6, 37 / 6, 71 / 6];

const series = (x: number, factors: readonly number[], powers: readonly number[]): number => {
  let sum = 0;
  for (let i = 0; i < factors.length; i += 1) sum += factors[i]! * x ** powers[i]!;
  return sum;
};

/** Saturation pressure of water, Pa (IAPWS SR1-86, equation 1). Valid from 0.01 °C to the critical point. */
export const waterSaturationPressure = (celsius: number): number => {
  const kelvin = celsius + 273.15;
  const x = 1 - kelvin / CRITICAL_TEMPERATURE;
  return CRITICAL_PRESSURE * Math.exp((CRITICAL_TEMPERATURE / kelvin) * series(x, P, P_POWERS));
};

/**
 * Enthalpy of vaporization, J/kg: Clapeyron's T (dp/dT)(v″ − v′) on the saturation line of IAPWS SR1-86 (equations
 * 1 to 3). Agrees with IAPWS-IF97 within 0.02 % from 0 to 60 °C.
 */
export const latentHeat = (celsius: number): number => {
  const kelvin = celsius + 273.15;
  const x = 1 - kelvin / CRITICAL_TEMPERATURE;
  const pressure = waterSaturationPressure(celsius);
  let slope = 0;
  for (let i = 0; i < P.length; i += 1) slope += P[i]! * P_POWERS[i]! * x ** (P_POWERS[i]! - 1);
  const pressureSlope = (-pressure / kelvin) * (Math.log(pressure / CRITICAL_PRESSURE) + slope);
  const liquid = CRITICAL_DENSITY * (1 + series(x, L, L_POWERS));
  const vapor = CRITICAL_DENSITY * Math.exp(series(x, V, V_POWERS));
  return kelvin * pressureSlope * (1 / vapor - 1 / liquid);
};

/** Surface tension, N/m: 0.2358 τ^1.256 (1 − 0.625 τ) (IAPWS R1-76). Valid from 0.01 °C to the critical point. */
export const surfaceTension = (celsius: number): number => {
  const x = 1 - (celsius + 273.15) / CRITICAL_TEMPERATURE;
  return 0.2358 * x ** 1.256 * (1 - 0.625 * x);
};
