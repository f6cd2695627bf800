/**
 * Pressure at which water boils: a pump's inlet must stay above it.
 * @param temperatureK [K], 273.15 to 647.096
 * @returns absolute pressure [Pa]; NaN outside the range
 * Reference: [iapws-if97], region 4, equations 29 and 30, Table 34.
 */
export function vapourPressurePa(temperatureK: number): number {
  if (!(temperatureK >= 273.15 && temperatureK <= 647.096)) return Number.NaN;
  const theta = temperatureK - 0.238_555_575_678_49 / (temperatureK - 650.175_348_447_98);
  const a = theta ** 2 + 1167.052_145_276_7 * theta - 724_213.167_032_06;
  const b = -17.073_846_940_092 * theta ** 2 + 12_020.824_702_47 * theta - 3_232_555.032_233_3;
  const c = 14.915_108_613_53 * theta ** 2 - 4823.265_736_159_1 * theta + 405_113.405_420_57;
  return ((2 * c) / (-b + Math.sqrt(b * b - 4 * a * c))) ** 4 * 1e6;
}
