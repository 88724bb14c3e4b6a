/** `fillRatio` as `fill ratio`, `after50Years` as `after 50 years`. */
export const camelWords = (name: string): string =>
  name.replace(/(?<=[a-z0-9])[A-Z]|(?<=[a-z])\d/g, (start) => ` ${start.toLowerCase()}`);
