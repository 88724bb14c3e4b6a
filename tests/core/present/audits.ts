import type { Audit, AuditFinding } from "../../../src/core/audit/answer.js";

/** A small audit made by hand, so that its presentation is tested apart from what is judged. */
export const auditWith = (part: Partial<Audit> = {}): Audit => ({
  format: 1,
  engine: { name: "drainward", version: "0.0.0", catalogue: "test" },
  network: { id: "lindenrow-3", name: "Lindenrow House 3", digest: "sha256:00" },
  profile: { id: "imc", edition: "2021", overridden: [] },
  stage: "as-built",
  verdict: "no-fault-found",
  exposure: null,
  counts: { critical: 0, major: 0, minor: 0, advice: 0, undetermined: 0 },
  decidedShare: 1,
  findings: [],
  rules: [],
  toSurvey: [],
  assumptions: [],
  cautions: [],
  ...part,
});

export const findingWith = (part: Partial<AuditFinding> = {}): AuditFinding => ({
  id: "fall.reverse~p:P-14",
  rule: "fall.reverse",
  outcome: "fail",
  severity: "major",
  kind: "condition",
  subject: { fanCoils: [], nodes: [], pipes: ["P-14"] },
  message: "P-14 rises 14 mm in the direction of flow; 3 mm are let pass.",
  evidence: [],
  sources: ["common-practice"],
  consequences: [],
  remedy: [],
  ...part,
});

/** One of everything that an audit can hold. */
export const fullAudit = auditWith({
  verdict: "faulty",
  profile: { id: "imc", edition: "2021", overridden: ["fall.minimumGrade"] },
  counts: { critical: 1, major: 1, minor: 1, advice: 1, undetermined: 3 },
  decidedShare: 0.996,
  findings: [
    findingWith({
      id: "path.no-outlet~f:0301",
      rule: "path.no-outlet",
      severity: "critical",
      subject: { fanCoils: ["0301"], nodes: ["J-3"], pipes: [] },
      message: "Coil 0301 reaches no outlet: its way ends at J-3, 14.20 m above datum.",
      remedy: [{ action: "connect", on: "J-3", text: "Connect J-3 to the main below it.", clears: [] }],
    }),
    findingWith({
      evidence: [
        {
          name: "rise",
          low: 0.012,
          best: 0.014,
          high: 0.016,
          unit: "m",
          limit: { name: "fall.backFallIgnored", value: 0.003, source: "common-practice" },
          from: ["/pipes/14"],
        },
      ],
      consequences: [
        {
          rule: "fall.standing-water",
          severity: "major",
          subject: { fanCoils: [], nodes: ["N-2"], pipes: [] },
          message: "Water stands 14 mm deep at N-2.",
        },
        {
          rule: "air.trapped",
          severity: "major",
          subject: { fanCoils: ["0302"], nodes: [], pipes: [] },
          message: "Air is locked between the trap of 0302 and the sag at N-2.",
        },
      ],
      remedy: [{ action: "raise-node", on: "N-2", amount: 0.014, unit: "m", text: "Raise N-2 by 14 mm.", clears: [] }],
    }),
    findingWith({ id: "air.vent-capped~n:V-1", rule: "air.vent-capped", severity: "minor", message: "V-1 is capped." }),
    findingWith({
      id: "path.dead-leg~p:P-9",
      rule: "path.dead-leg",
      severity: "advice",
      message: "Nothing feeds P-9.",
    }),
    findingWith({
      id: "seal.missing~f:0402",
      rule: "seal.missing",
      outcome: "undetermined",
      family: "missing",
      severity: "critical",
      message: "Nobody gave the pan static of 0402.",
      settledBy: [{ pointer: "/nodes/7/panStatic" }],
    }),
    findingWith({
      id: "fall.below-minimum~p:P-3",
      rule: "fall.below-minimum",
      outcome: "undetermined",
      family: "tolerance",
      message: "P-3 falls 0.99 % give or take 0.2 %, against 1 %.",
      settledBy: [{ pointer: "/nodes/9/elevation", within: 0.00259 }],
    }),
    findingWith({
      id: "size.code-table~p:P-1",
      rule: "size.code-table",
      outcome: "undetermined",
      family: "method",
      message: "P-1 carries more than the table's last row.",
      settledBy: [{ pointer: "/pipes/1", decision: "The authority says by which method this pipe is sized." }],
    }),
    findingWith({ id: "fall.reverse~p:P-15", outcome: "pass", message: "P-15 falls 12 mm." }),
    findingWith({
      id: "seal.dry-out~n:T-1",
      rule: "seal.dry-out",
      kind: "contingency",
      severity: "advice",
      message: "T-1 dries out in 20 days.",
    }),
  ],
  rules: [
    { rule: "fall.reverse", outcome: "fail", pass: 1, fail: 1, undetermined: 0 },
    { rule: "path.cycle", outcome: "not-applicable", pass: 0, fail: 0, undetermined: 0, why: "no drains" },
    { rule: "fall.budget", outcome: "broken", pass: 0, fail: 0, undetermined: 0, why: "threw" },
  ],
  toSurvey: Array.from({ length: 14 }, (_, row) => ({
    pointer: `/nodes/${row}/elevation`,
    for: ["fall.reverse", "fall.budget"],
    within: row === 0 ? 0.00259 : null,
  })),
  assumptions: [
    {
      name: "load.ratePerCapacity",
      value: 1.1213e-10,
      unit: "m³/s per W",
      appliesTo: ["0301", "0302", "0303", "0304", "0305", "0306"],
      source: "common-practice",
    },
  ],
  cautions: ["Isolate and prove dead before opening a cabinet."],
});
