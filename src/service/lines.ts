/** A line of newline-delimited JSON; `bytes` is null where the line is longer than the limit (its bytes are not kept). */
export interface Line {
  /** from 1, blank lines counted */
  readonly number: number;
  readonly bytes: Uint8Array | null;
}

const NEWLINE = 0x0a;
const isBlank = (bytes: Uint8Array): boolean => bytes.every((byte) => byte === 0x20 || byte === 0x09 || byte === 0x0d);

const join = (parts: readonly Uint8Array[], length: number): Uint8Array => {
  const whole = new Uint8Array(length);
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.byteLength;
  }
  return whole;
};

/**
 * Cuts a byte stream at its newlines. Blank lines are passed over, the last line needs no newline, and memory never
 * holds more than one line and one chunk.
 */
export async function* splitLines(chunks: AsyncIterable<Uint8Array>, longest: number): AsyncGenerator<Line> {
  let parts: Uint8Array[] = [];
  let length = 0;
  let number = 1;
  const finish = (): Line | null => {
    const line: Line = { number, bytes: length > longest ? null : join(parts, length) };
    parts = [];
    length = 0;
    number += 1;
    return line.bytes !== null && isBlank(line.bytes) ? null : line;
  };
  const take = (part: Uint8Array) => {
    length += part.byteLength;
    if (length > longest) parts = [];
    else if (part.byteLength > 0) parts.push(part);
  };
  for await (const chunk of chunks) {
    let from = 0;
    for (;;) {
      const end = chunk.indexOf(NEWLINE, from);
      if (end < 0) break;
      take(chunk.subarray(from, end));
      from = end + 1;
      const line = finish();
      if (line !== null) yield line;
    }
    take(chunk.subarray(from));
  }
  const last = length > 0 ? finish() : null;
  if (last !== null) yield last;
}
