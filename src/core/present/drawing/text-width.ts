/** px: the size of what a drawing of a path says */
export const TEXT = 9;

// Widths in em of the wider of the two families that the drawings may be set in, so that room is left on every machine.
const NARROW = 0.34;
const SLENDER = 0.43;
const LETTER = 0.64;
const CAPITAL = 0.75;
const WIDE = 0.84;
const BROAD = 1;

const widthOf = (code: number): number => {
  if (code < 0x7f) {
    const character = String.fromCharCode(code);
    if ("il|'.,:;!jI ".includes(character)) return NARROW;
    if ('ftr()[]{}/\\-"*'.includes(character)) return SLENDER;
    if ("mwMW@%".includes(character)) return BROAD;
    if ("GOQ+=<>~^#&".includes(character)) return WIDE;
    return character >= "A" && character <= "Z" ? CAPITAL : LETTER;
  }
  // combining marks take no room of their own
  if (code >= 0x300 && code <= 0x36f) return 0;
  if (code < 0x250) return CAPITAL;
  if (code < 0x1100) return 0.85;
  return code > 0xffff ? 1.4 : 1.05;
};

/** px that a line of text takes at a size, at most. */
export const textWidth = (text: string, size: number): number => {
  let em = 0;
  for (const character of text) em += widthOf(character.codePointAt(0)!);
  return em * size;
};

/** A name cut in its middle to the room there is: its beginning and its end both tell it from its neighbors. */
export const fitted = (name: string, size: number, room: number): string => {
  if (textWidth(name, size) <= room) return name;
  const characters = [...name];
  const left = room - textWidth("…", size);
  let head = 0;
  let tail = 0;
  for (let used = 0; head + tail < characters.length; ) {
    const next = head <= tail ? characters[head]! : characters[characters.length - 1 - tail]!;
    used += textWidth(next, size);
    if (used > left) break;
    if (head <= tail) head += 1;
    else tail += 1;
  }
  return `${characters.slice(0, head).join("")}…${characters.slice(characters.length - tail).join("")}`;
};

/** A sentence cut at its end to the room there is. */
export const clipped = (sentence: string, size: number, room: number): string => {
  if (textWidth(sentence, size) <= room) return sentence;
  let used = textWidth("…", size);
  let kept = "";
  for (const character of sentence) {
    used += textWidth(character, size);
    if (used > room) break;
    kept += character;
  }
  return `${kept.trimEnd()}…`;
};

/** Breaks a sentence to the room there is. */
export function wrap(sentence: string, size: number, room: number): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of sentence.split(" ")) {
    const longer = line === "" ? word : `${line} ${word}`;
    if (line !== "" && textWidth(longer, size) > room) {
      lines.push(line);
      line = fitted(word, size, room);
    } else line = line === "" ? fitted(word, size, room) : longer;
  }
  lines.push(line);
  return lines;
}
