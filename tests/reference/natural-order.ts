/** A run of ids: digits by value, others by code point; see the analysis conventions. */
const runsOf = (id: string): string[] => id.match(/[0-9]+|[^0-9]+/g) ?? [];
const isDigits = (run: string): boolean => /^[0-9]/.test(run);

const compareText = (a: string, b: string): number => {
  const left = [...a];
  const right = [...b];
  for (let i = 0; i < Math.min(left.length, right.length); i++) {
    const difference = left[i].codePointAt(0)! - right[i].codePointAt(0)!;
    if (difference !== 0) return difference;
  }
  return left.length - right.length;
};

const compareDigits = (a: string, b: string): number => {
  const left = BigInt(a);
  const right = BigInt(b);
  if (left !== right) return left < right ? -1 : 1;
  return a.length - b.length;
};

export const naturalOrder = (a: string, b: string): number => {
  const left = runsOf(a);
  const right = runsOf(b);
  for (let i = 0; i < Math.min(left.length, right.length); i++) {
    const x = left[i];
    const y = right[i];
    const digits = [isDigits(x), isDigits(y)];
    let order: number;
    if (digits[0] !== digits[1]) order = digits[0] ? -1 : 1;
    else order = digits[0] ? compareDigits(x, y) : compareText(x, y);
    if (order !== 0) return order;
  }
  return left.length - right.length;
};
