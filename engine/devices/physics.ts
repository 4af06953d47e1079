/** Constants of the SI, exact since its 2019 revision. */
export const BOLTZMANN_J_PER_K = 1.380649e-23;
export const ELEMENTARY_CHARGE_C = 1.602176634e-19;

/** 27 °C, the temperature at which makers extract device data; thermal voltage 25.8649 mV. */
export const NOMINAL_TEMPERATURE_K = 300.15;

/** kT/q in volts. */
export function thermalVoltage(temperatureK: number): number {
  return (BOLTZMANN_J_PER_K * temperatureK) / ELEMENTARY_CHARGE_C;
}
