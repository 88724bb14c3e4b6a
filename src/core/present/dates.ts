const MONTHS = [
  "January",
  "February",
  "March",
  "April",
  "May",
  "June",
  "July",
  "August",
  "September",
  "October",
  "November",
  "December",
] as const;

/** `26 November 2026`: a date that nobody reads the other way round. @param date as `2026-11-26`, or longer */
export const dateWords = (date: string): string => {
  const [year, month, day] = date.slice(0, 10).split("-").map(Number);
  return `${day} ${MONTHS[month! - 1]} ${year}`;
};
