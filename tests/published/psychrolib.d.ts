/** The functions of the reference library that the tests call; it comes without types. SI: °C, Pa, J/kg, m³/kg. */
declare module "psychrolib" {
  const psychrolib: {
    readonly SI: unknown;
    SetUnitSystem(system: unknown): void;
    GetHumRatioFromRelHum(dryBulb: number, relativeHumidity: number, pressure: number): number;
    GetHumRatioFromTWetBulb(dryBulb: number, wetBulb: number, pressure: number): number;
    GetMoistAirEnthalpy(dryBulb: number, humidityRatio: number): number;
    GetMoistAirVolume(dryBulb: number, humidityRatio: number, pressure: number): number;
    GetSatVapPres(dryBulb: number): number;
    GetTWetBulbFromHumRatio(dryBulb: number, humidityRatio: number, pressure: number): number;
    GetTDewPointFromHumRatio(dryBulb: number, humidityRatio: number, pressure: number): number;
  };
  export default psychrolib;
}
