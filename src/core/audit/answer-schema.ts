import * as z from "zod";
import { BACKUP_OUTCOME } from "../analysis/facts.js";
import type { Audit, Include } from "./answer.js";

// The answer as a schema: the contract of the API and the glossary of its names. Types stand in answer.ts; a check at the
// end holds the two together.

const text = (description: string, example: string) => z.string().meta({ description, examples: [example] });
const count = (description: string, example: number) =>
  z
    .int()
    .min(0)
    .meta({ description, examples: [example] });
const countOrNull = (description: string, example: number) =>
  z
    .int()
    .min(0)
    .nullable()
    .meta({ description, examples: [example] });
const flag = (description: string, example: boolean) => z.boolean().meta({ description, examples: [example] });
const flagOrNull = (description: string, example: boolean) =>
  z
    .boolean()
    .nullable()
    .meta({ description, examples: [example] });
const figure = (description: string, example: number) =>
  z
    .number()
    .nullable()
    .meta({ description, examples: [example] });
const ids = (description: string, ...examples: string[]) =>
  z.array(z.string()).meta({ description, examples: [examples] });
const idOrNull = (description: string, example: string) =>
  z
    .string()
    .nullable()
    .meta({ description, examples: [example] });
const oneOf = <const T extends readonly [string, ...string[]]>(words: T, description: string) =>
  z.enum(words).meta({ description, examples: [words[0]] });
const list = <T extends z.ZodType>(of: T, description: string) => z.array(of).meta({ description, examples: [[]] });

const severity = () => oneOf(["critical", "major", "minor", "advice"], "How bad it is.");

const Subject = z
  .strictObject({
    fanCoils: ids("Ids of the fan coils that it concerns.", "F-0401"),
    nodes: ids("Ids of the nodes that it concerns.", "M-04"),
    pipes: ids("Ids of the pipes that it concerns.", "P-14"),
  })
  .meta({ description: "What it concerns.", examples: [{ fanCoils: ["F-0401"], nodes: [], pipes: ["P-14"] }] });

const Finding = z
  .strictObject({
    id: text(
      "Rule, anchor kind and anchor: the same fault keeps its id from revision to revision.",
      "fall.reverse~p:P-14",
    ),
    rule: text("Id of the rule.", "fall.reverse"),
    outcome: oneOf(["fail", "undetermined", "pass"], "What the rule found."),
    family: oneOf(["missing", "tolerance", "method"], "Why it is undetermined.").optional(),
    settledBy: list(
      z.strictObject({
        pointer: text("JSON pointer of the figure to give or to measure again.", "/nodes/12/panStatic"),
        within: z
          .number()
          .meta({ description: "How closely to measure, SI base unit.", examples: [0.002] })
          .optional(),
        decision: text(
          "The decision of the engineer or the authority that it needs.",
          "A size for more than 250 tons.",
        ).optional(),
      }),
      "What would settle it.",
    ).optional(),
    severity: severity(),
    kind: oneOf(
      ["condition", "contingency", "record"],
      "It is so now, it follows if something fails, or only a visit can know.",
    ),
    subject: Subject,
    message: text(
      "A sentence for people, in the document's own units.",
      "P-14 rises by 12 mm in the direction of flow.",
    ),
    evidence: list(
      z.strictObject({
        name: text("Name of the figure.", "rise"),
        low: figure("Low end of its tolerance.", 0.006),
        best: figure("Best value.", 0.012),
        high: figure("High end of its tolerance.", 0.018),
        unit: text("SI base unit of the figures.", "m"),
        limit: z
          .strictObject({
            name: text("Name of the limit.", "fall.backFallIgnored"),
            value: figure("The limit.", 0.003),
            source: text("Id of its source.", "derived"),
          })
          .meta({
            description: "What it is held against.",
            examples: [{ name: "fall.backFallIgnored", value: 0.003, source: "derived" }],
          })
          .optional(),
        margin: figure("Distance to the limit, positive on the right side.", -0.009).optional(),
        from: ids("JSON pointers of the figures that it was made from.", "/nodes/12/elevation"),
      }),
      "The figures that it rests on.",
    ),
    sources: ids("Ids of the sources that it rests on.", "imc-307.2.1"),
    consequences: list(
      z.strictObject({
        rule: text("Id of the rule.", "fall.standing-water"),
        severity: severity(),
        subject: Subject,
        message: text("A sentence for people.", "Water stands 12 mm deep."),
      }),
      "What follows from it and is not a finding of its own.",
    ),
    remedy: list(
      z.strictObject({
        action: text("What to do.", "raise-node"),
        on: text("Id of the node, pipe, overflow device or circuit to do it to.", "M-04"),
        amount: z
          .number()
          .meta({ description: "By or to how much, SI base unit.", examples: [0.012] })
          .optional(),
        unit: text("Unit of the amount.", "m").optional(),
        what: text("What the amount is, where the action does not tell.", "seal depth").optional(),
        contains: z
          .int()
          .meta({ description: "Of the finding's blockages: how many it contains.", examples: [3] })
          .optional(),
        text: text("A sentence in the document's own units.", "Raise M-04 by 12 mm."),
        clears: ids("Ids of the findings that it clears.", "fall.reverse~p:P-14"),
      }),
      "What to do about it.",
    ),
  })
  .meta({
    description: "A finding: what, where, how much, against which limit, and what to do.",
    examples: [
      {
        id: "fall.reverse~p:P-14",
        rule: "fall.reverse",
        outcome: "fail",
        severity: "major",
        kind: "condition",
        subject: { fanCoils: ["F-0401"], nodes: ["M-04"], pipes: ["P-14"] },
        message: "P-14 rises by 12 mm in the direction of flow.",
        evidence: [
          {
            name: "rise",
            low: 0.012,
            best: 0.012,
            high: 0.012,
            unit: "m",
            limit: { name: "fall.backFallIgnored", value: 0.003, source: "derived" },
            margin: -0.009,
            from: ["/nodes/12/elevation"],
          },
        ],
        sources: ["derived"],
        consequences: [],
        remedy: [],
      },
    ],
  });

const AirSpace = z.strictObject({
  id: text("Its first node, without one its first trap.", "J-0401"),
  kind: oneOf(["open", "pan-side", "shared-pans", "bypass", "trapped"], "What sort of space it is."),
  onPath: flag("A coil's path runs through it.", true),
  openings: ids("Nodes where it opens to the atmosphere.", "J-0401/vent"),
  pans: ids("Coils whose pans, under pressure or of unknown static, open into it.", "F-0401"),
  nodes: ids("Nodes in it.", "J-0401"),
  pipes: ids("Pipes in it.", "P-14"),
  traps: ids("Sealed traps at its edge.", "T-0401"),
  volume: figure("Bores of its pipes less the standing water in them, m³.", 0.002),
});

const LockedAir = z.strictObject({
  needed: figure("Head that its water needs, with rigid air, m; null where a static or a seal is unknown.", 0.1),
  neededCompressible: figure("The same with the air squeezed at constant temperature, m.", 0.09),
  toOutlet: figure("The pan's outlet, m.", 0.06),
  toTrip: figure("Lowest working device at this pan that stops this coil, m; null where there is none.", 0.084),
  toSpill: figure("The pan's rim, or its open second port if lower, m.", 0.11),
  outcome: z
    .enum(["drains-dry", "drains-standing", "trips", "overflows"])
    .nullable()
    .meta({ description: "What becomes of the water; null where that cannot be told.", examples: ["trips"] }),
  standing: figure("Water that stays in the pan, m; null where it does not come to rest.", 0),
});

const Opening = z.strictObject({
  node: text("The pan, vent, cleanout or receptor, or the node that another drain leaves.", "F-0301"),
  elevation: figure("Its own level (rim, port, top or weir), m.", 9.42),
  dwelling: idOrNull("Who is under the water if it appears there.", "0301"),
});

const Backup = z.strictObject({
  firstSpill: z
    .strictObject({
      elevation: figure("Level of the pool when it spills first, m.", 9.405),
      openings: list(Opening, "What spills then, within the survey tolerance."),
    })
    .nullable()
    .meta({
      description: "Where water comes out first; null where an unknown level decides, and on loops.",
      examples: [{ elevation: 9.405, openings: [{ node: "F-0301", elevation: 9.42, dwelling: "0301" }] }],
    }),
  inflow: figure("Peak condensate that feeds it, m³/s.", 5.2e-6),
  inflowAfterTrips: figure("What still feeds it when all that trips has tripped, m³/s.", 4.5e-6),
  trips: list(
    z.strictObject({
      device: text("Id of the overflow device.", "FS-0301"),
      level: figure("Level of the pool when it trips, m.", 9.39),
    }),
    "Working devices that trip at or before the first spill, by level.",
  ),
  outcome: z
    .enum(BACKUP_OUTCOME)
    .nullable()
    .meta({
      description:
        "What becomes of it: every coil stopped in time; only told of; harmless; uncontained; or undetermined. null on loops.",
      examples: ["uncontained"],
    }),
  fanCoilsFeeding: count("Coils whose water feeds it.", 8),
});

const Facts = z.strictObject({
  topology: z
    .strictObject({
      cycles: z
        .array(z.array(z.string()))
        .meta({ description: "Loops of drains, each as its nodes.", examples: [[["A", "B"]]] }),
      splits: ids("Nodes that more than one drain leaves.", "M-04"),
      deadLegs: ids("Drains that nothing feeds.", "P-99"),
      orphans: ids("Nodes that no pipe touches.", "X-1"),
    })
    .meta({
      description: "What is connected wrongly.",
      examples: [{ cycles: [], splits: [], deadLegs: [], orphans: [] }],
    })
    .optional(),
  fanCoils: list(
    z.strictObject({
      id: text("Id of the coil.", "F-0401"),
      outlet: idOrNull("Outlet that its water reaches, through pumps.", "O-1"),
      pathPipes: ids("Pipes of its path along the flow.", "P-14"),
      pathLength: figure("Length of its path, m.", 31.2),
      hops: count("Pipes on its path.", 12),
      fall: figure("From the first invert to the last before an outlet or pump, m.", 3.1),
      meanGrade: figure("Fall over run of the sloping pipes, ratio.", 0.021),
      leastGrade: figure("Least grade of the sloping pipes, ratio.", 0.0104),
      fallBudget: figure("Fall of the path less what trap and runs need at their least, m.", 0.42),
      fallBudgetToJoiningPoint: figure("The same from the pan to the joining point, m.", 0.03),
      stretches: z
        .array(
          z.strictObject({
            from: text("First node.", "F-0401"),
            to: text("Last node.", "M-04"),
            budget: figure("Budget between them, m.", 0.03),
          }),
        )
        .nullable()
        .meta({
          description: "Budgets between consecutive fixed points; null where the path reaches no outlet or pump.",
          examples: [[{ from: "F-0401", to: "M-04", budget: 0.03 }]],
        }),
      shortfall: figure("Greatest lack of fall in a part without a vertical pipe, m; 0 where none lacks.", 0),
      joiningPoint: idOrNull("Node at which its path joins another's.", "M-04"),
      leastVentTop: figure("Level that a vent's top on its branch must pass, m.", 14.83),
      condensateRate: figure("Peak condensate, m³/s.", 6.5e-7),
      coolingCapacity: figure("Total cooling capacity, W.", 7000),
      rateBasis: z
        .enum(["stated", "air-states", "capacity", "rule-of-thumb"])
        .nullable()
        .meta({ description: "What the peak condensate was made from.", examples: ["capacity"] }),
      traps: ids("Traps along its path.", "T-0401"),
      sealsOnPath: count("Sealed traps and sealing pools on its path.", 1),
      lockedAir: LockedAir.nullable().meta({
        description:
          "Head that pushes on the air locked on its path before an outlet or pump, above the weir of its first seal; null where none is locked. Rigid air and the worst order of filling are assumed.",
        examples: [null],
      }),
    }),
    "Each fan coil and its path.",
  ).optional(),
  pipes: list(
    z.strictObject({
      id: text("Id of the pipe.", "P-14"),
      fall: figure("From invert less to invert, m.", 0.034),
      run: figure("Horizontal length, m.", 3.2),
      grade: figure("Fall over run, ratio; null where it is plumb.", 0.0106),
      isVertical: z
        .boolean()
        .nullable()
        .meta({ description: "45° or steeper.", examples: [false] }),
      isCommon: flag("Two or more coils' paths contain it.", false),
      fanCoilsAbove: count("Coils whose path contains it.", 1),
      connectedCapacity: figure("Cooling capacity connected above, W.", 7000),
      designFlow: figure("Peak condensate from above, m³/s.", 6.5e-7),
      insideDiameter: figure("Inside diameter, m.", 0.0261),
      gradeMinimum: figure("The profile's least grade, ratio.", 0.01),
      gradeMargin: figure("Grade less the least grade, ratio.", 0.0006),
      capacity: figure("What it carries at the profile's greatest fill, m³/s.", 0.000145),
      utilisation: figure("Design flow over capacity.", 0.0045),
      flowDepth: figure("Depth at the design flow (in a riser the film), m.", 0.0016),
      fillRatio: figure("Depth over bore (in a riser the share of the bore).", 0.06),
      velocity: figure("Velocity at the design flow, m/s.", 0.11),
      froude: figure("Froude number at the design flow.", 1.05),
      codeSize: idOrNull("Nominal size by the code table.", "3/4 in"),
      hydraulicSize: idOrNull("Least size that carries the design flow at its grade.", "1/2 in"),
      requiredSize: idOrNull("Size that it must have.", "3/4 in"),
      upstreamStandingDepth: figure("Depth of standing water at its from end, m.", 0),
      downstreamStandingDepth: figure("Depth of standing water at its to end, m.", 0),
      sealedByStandingWater: z
        .boolean()
        .nullable()
        .meta({
          description: "Standing water closes one of its ends; null where that cannot be told.",
          examples: [false],
        }),
      outlet: idOrNull("Outlet that its water reaches.", "O-1"),
    }),
    "Each pipe.",
  ).optional(),
  nodes: list(
    z.strictObject({
      id: text("Id of the node.", "M-04"),
      elevation: figure("Invert, m.", 14.5),
      standingWaterLevel: figure("Level of the standing water with the fan off, m.", 14.5),
      standingDepth: figure("Its depth, m.", 0),
    }),
    "Each node.",
  ).optional(),
  runs: list(
    z.strictObject({
      id: text("Its most downstream pipe.", "P-14"),
      pipes: ids("Its pipes.", "P-13", "P-14"),
      length: figure("Sum of runs, m.", 6.4),
      fall: figure("Sum of falls, m.", 0.068),
      grade: figure("Fall over run, ratio.", 0.0106),
      gradeLow: figure("With the tolerance of both ends against it, ratio.", 0.0097),
      gradeHigh: figure("With the tolerance of both ends for it, ratio.", 0.0115),
    }),
    "Chains of sloping drains whose grade is judged as one.",
  ).optional(),
  pools: list(
    z.strictObject({
      id: text("Its lowest wet node.", "K-0401"),
      cause: oneOf(["submerged-outlet", "high-weir", "low-point", "reverse-grade"], "Why it stands."),
      level: figure("Its level, m.", 14.5),
      maxDepth: figure("Its greatest depth, m.", 0.012),
      volume: figure("Water in the pipes, m³.", 0.0001),
      weir: idOrNull("Node that holds it.", "J-0401"),
      nodes: ids("Nodes in it.", "K-0401"),
      pipes: ids("Pipes in it.", "P-14"),
      class: z
        .enum(["shallow", "deep", "sealing"])
        .nullable()
        .meta({ description: "How bad it is; null where an unknown bore decides.", examples: ["deep"] }),
      sealDepth: figure("Level over the lowest crown that it closes, m; null where it closes none.", 0.01),
      airGap: figure("Least height of air over it, m; null where it closes an end.", 0.01),
      raiseBy: figure("How far its lowest node must rise for the water to leave, m.", 0.012),
    }),
    "Standing water.",
  ).optional(),
  seals: list(
    z.strictObject({
      id: text("Its trap, or `pool:` and its pool.", "T-0401"),
      kind: oneOf(["trap", "unintended"], "A purpose-made trap, or a sag that seals."),
      fanCoils: ids("Coils whose first trap it is, or whose path crosses the pool.", "F-0401"),
      sealDepth: figure("Depth of water that air must push out, m.", 0.05),
      weirElevation: figure("Level of its weir, m.", 14.67),
      drop: figure("Pan outlet over the weir, m.", 0.06),
      staticPressure: figure("Gauge pressure at the pan that governs, Pa.", -150),
      head: figure("The same as a head of water, m.", 0.0153),
      panStanding: figure("Water that stands in the pan while the fan runs, m.", 0),
      dropMargin: figure("Drop less head, m.", 0.0447),
      sealMarginStart: figure("Seal left when the fan starts, m.", 0.042),
      dropNeeded: figure("Drop with the margin of practice, m.", 0.0407),
      sealNeeded: figure("Seal with the margin of practice, m.", 0.0203),
      drainsUpTo: figure("Suction up to which water leaves, Pa.", 588),
      holdsAtStart: figure("Suction that the seal holds when the fan starts, Pa.", 980),
      blowsOutAt: figure("Fan pressure that blows the seal out, Pa.", 490),
      primingVolume: figure("Least water to fill it, m³.", 0.00005),
      daysToOpen: z
        .strictObject({
          low: figure("At the fastest drying.", 12.5),
          best: figure("At the profile's drying.", 50),
          high: figure("At the slowest drying.", 167),
        })
        .nullable()
        .meta({
          description: "Days until an idle seal has dried out.",
          examples: [{ low: 12.5, best: 50, high: 167 }],
        }),
    }),
    "Traps, and sags that seal.",
  ).optional(),
  airSpaces: list(AirSpace, "Connected air with the fan off and no flow.").optional(),
  airSpacesAtFlow: list(AirSpace, "The same at design flow.").optional(),
  backups: list(
    Backup.extend({ pipe: text("The blocked drain.", "P-14") }),
    "A full blockage of each drain below a coil.",
  ).optional(),
  devices: list(
    z.strictObject({
      id: text("Id of the overflow device.", "FS-1"),
      stops: ids("Coils that make no more water when it alone trips.", "F-0401"),
      sees: countOrNull(
        "Drains below a coil whose blockage trips it at or before the first spill; null where its level is unknown.",
        12,
      ),
      unseenCommonPipes: countOrNull("Drains common to several coils whose blockage does not.", 5),
    }),
    "Each overflow device, and which blockages it sees.",
  ).optional(),
  circuits: list(
    z.strictObject({
      id: text("Id of the circuit.", "CI-0401"),
      anyDeviceStops: flagOrNull(
        "Any one of its devices that works opens it; null where its wiring does not tell.",
        true,
      ),
      stopsWater: flagOrNull("Once it has opened its coils make no more water; null where it does not say.", true),
      stopsFan: flagOrNull("Once it has opened their fans stop; null where it does not say.", true),
    }),
    "Each overflow circuit, whatever its devices' state.",
  ).optional(),
  paths: list(
    z.strictObject({
      fanCoil: text("Id of the coil.", "F-0401"),
      points: list(
        z.strictObject({
          node: text("Node at this end of the pipe.", "M-04"),
          pipe: text("The pipe.", "P-14"),
          distance: z.number().meta({ description: "Along the path from the pan, m.", examples: [3.2] }),
          invert: figure("Invert of the end, m.", 14.5),
          crown: figure("Crown of the end, m.", 14.526),
          standingLevel: figure("Level of the standing water there, m.", 14.5),
        }),
        "Both ends of each pipe along the flow.",
      ),
    }),
    "Each coil's path as a long section.",
  ).optional(),
});

const Exposure = z.strictObject({
  state: oneOf(
    ["contained", "exposed", "undetermined"],
    "Nothing spills unseen and unstopped, something would, or it cannot be told.",
  ),
  worst: z
    .strictObject({
      pipe: text("The blocked drain.", "P-14"),
      openings: ids("Where water comes out first.", "F-0301"),
      inflowAfterTrips: figure("Water that still comes when all that trips has tripped, m³/s.", 4.5e-6),
    })
    .nullable()
    .meta({
      description: "The uncontained blockage that most water still feeds; null unless exposed.",
      examples: [{ pipe: "P-14", openings: ["F-0301"], inflowAfterTrips: 4.5e-6 }],
    }),
  pipes: count("Drains whose blockage nothing contains.", 0),
});

const Answer = z
  .strictObject({
    format: z.literal(1).meta({ description: "Version of this answer.", examples: [1] }),
    engine: z
      .strictObject({
        name: z.literal("drainward").meta({ description: "What judged.", examples: ["drainward"] }),
        version: text("Its version.", "0.1.0"),
        catalogue: text("Its set of rules.", "5f2c9a01d3b4"),
      })
      .meta({
        description: "What judged.",
        examples: [{ name: "drainward", version: "0.1.0", catalogue: "5f2c9a01d3b4" }],
      }),
    network: z
      .strictObject({
        id: text("Id of the network.", "alder-court"),
        name: idOrNull("Its name.", "Alder Court"),
        digest: text("sha256 of the document's RFC 8785 form.", "sha256:0123456789abcdef"),
      })
      .meta({
        description: "What was judged.",
        examples: [{ id: "alder-court", name: null, digest: "sha256:0123456789abcdef" }],
      }),
    profile: z
      .strictObject({
        id: text("Id of the profile.", "imc"),
        edition: text("Its edition.", "2021"),
        overridden: ids("Limits that the firm's own figures replace.", "fall.minimumGrade"),
      })
      .meta({ description: "By which code.", examples: [{ id: "imc", edition: "2021", overridden: [] }] }),
    stage: oneOf(["design", "as-built", "in-service"], "What could be known."),
    verdict: oneOf(["faulty", "undetermined", "no-fault-found", "nothing-judged"], "What the rules saw together."),
    exposure: Exposure.nullable().meta({
      description: "What blockages of drains below coils would do; null where none was judged.",
      examples: [{ state: "contained", worst: null, pipes: 0 }],
    }),
    counts: z
      .strictObject({
        critical: count("Failing findings: water will escape.", 1),
        major: count("Failing findings: will fail in use.", 4),
        minor: count("Failing findings: good practice.", 7),
        advice: count("Failing findings: advice.", 3),
        undetermined: count("Undetermined findings.", 2),
      })
      .meta({
        description: "Findings after folding.",
        examples: [{ critical: 1, major: 4, minor: 7, advice: 3, undetermined: 2 }],
      }),
    decidedShare: figure("Share of subjects that were decided, over conditions and records.", 0.94),
    findings: list(Finding, "Worst first."),
    rules: list(
      z.strictObject({
        rule: text("Id of the rule.", "fall.reverse"),
        outcome: oneOf(["pass", "fail", "undetermined", "not-applicable", "broken"], "Its worst outcome."),
        pass: count("Subjects that pass.", 212),
        fail: count("Subjects that fail.", 0),
        undetermined: count("Subjects that are undetermined.", 0),
        why: text("Why it did not apply, or broke.", "There is no sloping drain.").optional(),
      }),
      "Every rule, counted before folding.",
    ),
    toSurvey: list(
      z.strictObject({
        pointer: text("JSON pointer of the figure.", "/nodes/12/panStatic"),
        for: ids("Rules that ask for it.", "seal.missing"),
        within: figure("How closely to measure, SI base unit; null: any value will do.", 0.002),
      }),
      "What the next survey must bring.",
    ),
    assumptions: list(
      z.strictObject({
        name: text("What was assumed.", "survey tolerance"),
        value: z
          .union([z.number(), z.string(), z.boolean()])
          .meta({ description: "The value, SI base unit.", examples: [0.003] }),
        unit: idOrNull("Its unit.", "m"),
        appliesTo: ids("Ids of what it was assumed for.", "F-0401"),
        source: text("Id of its source.", "assumption"),
      }),
      "What was taken for granted.",
    ),
    cautions: ids("What can hurt, and who decides.", "This is a calculation, not an approval."),
    facts: Facts.meta({
      description: "What the analyses found; only what `include` asks for.",
      examples: [{}],
    }).optional(),
  })
  .meta({ title: "Audit", description: "What the rules found in one network document." });

/** Fails to compile when the types of answer.ts and this schema part, in either direction. */
type Frozen<T> = T extends readonly (infer U)[]
  ? readonly Frozen<U>[]
  : T extends object
    ? { readonly [K in keyof T]: Frozen<T[K]> }
    : T;
type Same<A, B> = [A] extends [B] ? ([B] extends [A] ? true : false) : false;
type Parsed = Frozen<z.infer<typeof Answer>>;
const checked: [
  Same<Omit<Parsed, "facts">, Omit<Audit, "facts">>,
  Same<keyof Parsed, keyof Audit>,
  Same<keyof z.infer<typeof Facts>, Include>,
] = [true, true, true];
void checked;

const Change = z
  .strictObject({
    id: text("Id of the finding.", "fall.reverse~p:P-14"),
    rule: text("Id of the rule.", "fall.reverse"),
    change: oneOf(["new", "persists", "cleared", "lost-sight"], "What became of it."),
    severity: severity(),
    message: text("A sentence for people.", "P-14 rises by 12 mm in the direction of flow."),
    within: text("Id of the finding that tells of it now, where that is another.", "fall.reverse~p:P-15").optional(),
  })
  .meta({
    description: "What became of a finding between two audits.",
    examples: [
      {
        id: "fall.reverse~p:P-14",
        rule: "fall.reverse",
        change: "cleared",
        severity: "major",
        message: "P-14 rises by 12 mm in the direction of flow.",
      },
    ],
  });

const Compared = z
  .strictObject({
    network: Answer.shape.network,
    profile: Answer.shape.profile,
    catalogue: text("Fingerprint of the rules that judged.", "9f86d081884c7d65"),
    verdict: Answer.shape.verdict,
  })
  .meta({
    description: "Which audit this side is.",
    examples: [
      {
        network: { id: "tarnhollow-east", name: "Tarnhollow East", digest: "sha256:9f86d081884c7d65" },
        profile: { id: "imc", edition: "2021", overridden: [] },
        catalogue: "9f86d081884c7d65",
        verdict: "faulty",
      },
    ],
  });

const ComparisonAnswer = z
  .strictObject({
    before: Compared,
    after: Compared,
    new: list(Change, "Fails now and did not before."),
    persists: list(Change, "Failed before and fails now."),
    cleared: list(Change, "Failed before and fails no longer."),
    lostSight: list(Change, "Failed before; now a figure is missing or too uncertain, so nobody can tell."),
    margins: list(
      z.strictObject({
        finding: text("Id of the finding.", "size.hydraulic~p:P-14"),
        name: text("Name of the figure.", "fillRatio"),
        unit: text("SI base unit of the margins.", "ratio"),
        before: z.number().meta({ description: "Distance to the limit before.", examples: [-0.02] }),
        after: z.number().meta({ description: "Distance to the limit after.", examples: [-0.01] }),
      }),
      "Margins that moved, of findings that both audits have.",
    ),
  })
  .meta({ description: "What changed between two audits." });

let madeComparison: object | undefined;

/** JSON Schema (draft 2020-12) of a comparison. The same object each time: do not change it. */
export const comparisonSchema = (): object => {
  madeComparison ??= z.toJSONSchema(ComparisonAnswer, { target: "draft-2020-12" });
  return madeComparison;
};

let made: object | undefined;

/** JSON Schema (draft 2020-12) of the answer. The same object each time: do not change it. */
export const auditSchema = (): object => {
  made ??= z.toJSONSchema(Answer, { target: "draft-2020-12" });
  return made;
};

/** What of a value is not as the answer promises, as readable lines; empty: all is. */
export const faultsOfAnswer = (value: unknown): string[] => {
  const parsed = Answer.safeParse(value);
  return parsed.success ? [] : parsed.error.issues.map((issue) => `${issue.path.join("/")}: ${issue.message}`);
};
