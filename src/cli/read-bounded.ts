/** The document is larger than the library takes. */
export class TooLarge extends Error {
  readonly code = "TOO_LARGE";
}

/** Reads everything a source gives, at most `limit` bytes; stops reading, and throws `TooLarge`, beyond that. */
export const readBounded = async (source: AsyncIterable<Uint8Array>, limit: number): Promise<Uint8Array> => {
  const parts: Uint8Array[] = [];
  let length = 0;
  for await (const part of source) {
    length += part.byteLength;
    if (length > limit) throw new TooLarge(`more than ${limit} bytes`);
    parts.push(part);
  }
  return Buffer.concat(parts, length);
};
