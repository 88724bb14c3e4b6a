export type Tone = "loud" | "heavy" | "light" | "faint";

// Bold with a color where the eye should go first; the words never depend on them.
const codes: Readonly<Record<Tone, string>> = { loud: "1;31", heavy: "1;33", light: "1", faint: "2" };

/** Sets text in a tone on a terminal that shows color; returns it as it is elsewhere. */
export const painter =
  (color: boolean) =>
  (text: string, tone: Tone): string =>
    color && text !== "" ? `\u001b[${codes[tone]}m${text}\u001b[0m` : text;
