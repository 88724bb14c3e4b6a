/**
 * A small reader of formulas as calculation sheets write them: `2 acos(1 − 2 y ÷ D)`, `R^(2/3) √(S) ÷ n`. Two things
 * side by side are multiplied; ×, ÷ and that go from left to right; powers come first.
 */
const TOKEN = /\s*(\d+\.?\d*(?:e[-−]?\d+)?|log₁₀|\p{L}[\p{L}\p{Nd}]*(?:_[\p{L}\p{Nd}]+)*|[²³√()+−\-×÷^|,/])/uy;

const FUNCTIONS: Readonly<Record<string, (...values: number[]) => number>> = {
  max: Math.max,
  min: Math.min,
  sin: Math.sin,
  acos: Math.acos,
  ln: Math.log,
  "log₁₀": Math.log10,
  exp: Math.exp,
  "√": Math.sqrt,
};

const CONSTANTS: Readonly<Record<string, number>> = { g: 9.80665, π: Math.PI };

const tokensOf = (formula: string): string[] => {
  const tokens: string[] = [];
  TOKEN.lastIndex = 0;
  while (TOKEN.lastIndex < formula.trimEnd().length) {
    const at = TOKEN.lastIndex;
    const found = TOKEN.exec(formula);
    if (found === null) throw new Error(`no formula at ${at}: ${formula}`);
    tokens.push(found[1]);
  }
  return tokens;
};

/** @throws where a symbol is not known, or the text is no formula */
export const evaluate = (formula: string, symbols: ReadonlyMap<string, number>): number => {
  const tokens = tokensOf(formula);
  let at = 0;
  const take = (token: string): boolean => {
    if (tokens[at] !== token) return false;
    at += 1;
    return true;
  };
  const need = (token: string): void => {
    if (!take(token)) throw new Error(`${token} is wanted at ${tokens.slice(at).join(" ")} in ${formula}`);
  };
  const sum = (): number => {
    let value = take("−") || take("-") ? -product() : product();
    for (;;) {
      if (take("+")) value += product();
      else if (take("−") || take("-")) value -= product();
      else return value;
    }
  };
  const startsFactor = (): boolean => at < tokens.length && /^[\p{L}\p{N}√(]/u.test(tokens[at]);
  const product = (): number => {
    let value = power();
    for (;;) {
      if (take("÷") || take("/")) value /= power();
      else if (take("×") || startsFactor()) value *= power();
      else return value;
    }
  };
  const power = (): number => {
    const base = factor();
    if (take("²")) return base ** 2;
    if (take("³")) return base ** 3;
    return take("^") ? base ** factor() : base;
  };
  const factor = (): number => {
    if (take("(")) {
      const value = sum();
      need(")");
      return value;
    }
    if (take("|")) {
      const value = Math.abs(sum());
      need("|");
      return value;
    }
    const token = tokens[at];
    at += 1;
    if (token === undefined) throw new Error(`${formula} ends too early`);
    if (/^\d/.test(token)) return Number(token.replace("−", "-"));
    const call = FUNCTIONS[token];
    if (call !== undefined) {
      need("(");
      const values = [sum()];
      while (take(",")) values.push(sum());
      need(")");
      return call(...values);
    }
    const value = symbols.get(token) ?? CONSTANTS[token];
    if (value === undefined) throw new Error(`${formula}: nothing above it is called ${token}`);
    return value;
  };
  const value = sum();
  if (at < tokens.length) throw new Error(`${formula}: ${tokens.slice(at).join(" ")} is left over`);
  return value;
};
