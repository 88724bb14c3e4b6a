const isDigit = (unit: number): boolean => unit >= 48 && unit <= 57;

/** Where UTF-16 order differs from code point order: surrogates (U+10000 and above) sort after U+E000…U+FFFF. */
const codePointRank = (unit: number): number => (unit < 0xd800 ? unit : unit <= 0xdfff ? unit + 0x2000 : unit - 0x800);

/**
 * Natural order of ids: runs of ASCII digits compare by value (any length), then the one with fewer leading zeros comes
 * first; anything else compares by Unicode code point; a digit run comes before anything else; a prefix comes first.
 * No locale, no allocation. Negative, 0 (identical strings only) or positive.
 */
export const naturalOrder = (a: string, b: string): number => {
  const aEnd = a.length;
  const bEnd = b.length;
  let i = 0;
  let j = 0;
  while (i < aEnd && j < bEnd) {
    const x = a.charCodeAt(i);
    const y = b.charCodeAt(j);
    if (isDigit(x)) {
      if (!isDigit(y)) return -1;
      const aStart = i;
      const bStart = j;
      while (i < aEnd && a.charCodeAt(i) === 48) i += 1;
      while (j < bEnd && b.charCodeAt(j) === 48) j += 1;
      const aZeros = i - aStart;
      const bZeros = j - bStart;
      let byDigit = 0;
      for (;;) {
        const inA = i < aEnd && isDigit(a.charCodeAt(i));
        const inB = j < bEnd && isDigit(b.charCodeAt(j));
        if (!inA || !inB) {
          if (inA) return 1;
          if (inB) return -1;
          break;
        }
        if (byDigit === 0) byDigit = a.charCodeAt(i) - b.charCodeAt(j);
        i += 1;
        j += 1;
      }
      if (byDigit !== 0) return byDigit;
      if (aZeros !== bZeros) return aZeros - bZeros;
    } else {
      if (isDigit(y)) return 1;
      if (x !== y) return codePointRank(x) - codePointRank(y);
      i += 1;
      j += 1;
    }
  }
  return aEnd - i - (bEnd - j);
};
