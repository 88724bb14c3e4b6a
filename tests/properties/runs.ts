/** How many cases a property tries: `PROPERTY_RUNS` (npm run properties) or the quick figure of the everyday run. */
export const propertyRuns = (quick: number): number => {
  const asked = Number(process.env.PROPERTY_RUNS ?? "");
  return Number.isInteger(asked) && asked > 0 ? asked : quick;
};
