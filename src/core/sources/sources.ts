/**
 * Published works on which limits, tables and formulas rest. Nothing is asserted without one: what has no publication
 * says so in its own entry (`common-practice`, `assumption`, `derived`, `memory`, `firm`).
 *
 * `seen` says what was read: the work itself or a public extract of it (`read`), another text that quotes it
 * (`quoted`), nothing but memory of it (`memory`: check an official copy before relying on it), or that there is no
 * work at all (`none`).
 */
export interface Source {
  readonly id: SourceId;
  readonly title: string;
  /** what it says that is used here, in our own words */
  readonly what: string;
  readonly seen: "read" | "quoted" | "memory" | "none";
}

const register = [
  // Marks of figures that no publication carries
  {
    id: "common-practice",
    title: "Common practice, no source",
    what: "Trade practice for which no published source is claimed.",
    seen: "none",
  },
  {
    id: "assumption",
    title: "Assumption",
    what: "A figure taken so that the calculation can go on; replace it where a better one is known.",
    seen: "none",
  },
  {
    id: "derived",
    title: "Derived",
    what: "Derived from first principles and checked numerically; see the documentation of the formula.",
    seen: "none",
  },
  {
    id: "memory",
    title: "From memory, unverified",
    what: "Recalled from a standard text of which no public copy was seen; check an official copy.",
    seen: "memory",
  },
  {
    id: "firm",
    title: "The firm's own figure",
    what: "Set by the document's profile overrides in place of the profile's figure.",
    seen: "none",
  },
  {
    id: "manufacturer",
    title: "The equipment manufacturer's stated figure",
    what: "Given in the document for this piece of equipment.",
    seen: "none",
  },
  { id: "document", title: "The network document", what: "A figure that the document states.", seen: "none" },

  // International Mechanical, Plumbing and Residential Codes
  {
    id: "imc-307.2",
    title:
      "International Mechanical Code 307.2, Evaporators and cooling coils (Chicago Municipal Code 18-29-314.2, 2021)",
    what: "Equipment with evaporators or cooling coils has a condensate drain system.",
    seen: "quoted",
  },
  {
    id: "imc-307.2.1",
    title:
      "International Mechanical Code 307.2.1, Condensate disposal (as adopted: Chicago Municipal Code 18-29-314.2.1, 2021; Baltimore City Building Codes s. 314)",
    what: "Convey from the pan outlet to an approved place at a slope of at least one eighth unit vertical in 12 units horizontal (1 percent); no nuisance on public ground.",
    seen: "quoted",
  },
  {
    id: "imc-307.2.1.1",
    title:
      "International Mechanical Code 2021 307.2.1.1, Condensate discharge (as summarized for the Florida Building Code, Mechanical, 8th edition)",
    what: "No direct connection to plumbing drain, waste or vent piping; list of receptors.",
    seen: "quoted",
  },
  {
    id: "imc-307.2.2",
    title:
      "International Mechanical Code 307.2.2, Drain pipe materials and sizes (Rapid City Municipal Code 15.26.180, Ord. 6265, 2019)",
    what: "Allowed materials; at least 3/4 in; no reduction down to the point of disposal.",
    seen: "read",
  },
  {
    id: "imc-307.2.2-2021",
    title:
      "International Mechanical Code 2021 307.2.2, Drain pipe materials and sizes (building officials' forum quotation; as summarized for the Florida Building Code, Mechanical, 8th edition)",
    what: "Allowed materials, PE-RT and PVDF among them; at least 3/4 in pipe size.",
    seen: "quoted",
  },
  {
    id: "imc-2003",
    title: "International Mechanical Code 2003 in a training comparison of codes",
    what: "Allowed materials; shared drains sized by an approved method.",
    seen: "quoted",
  },
  {
    id: "imc-table-307.2.2",
    title:
      "International Mechanical Code Table 307.2.2, Condensate drain sizing (Rapid City Municipal Code 15.26.180, 2019; Chicago Municipal Code 18-29-314.2.2, 2021)",
    what: "Least size of combined drains for up to 20, 40, 90, 125 and 250 tons of refrigeration.",
    seen: "read",
  },
  {
    id: "imc-307.2.3",
    title:
      "International Mechanical Code 307.2.3, Auxiliary and secondary drain systems (IRC 2018 M1411.3.1; Penn State architectural engineering column on IMC 307.2.3)",
    what: "Where overflow can damage the building each coil has one of four second lines of defense; pan depth 1.5 in, 3 in larger than the unit.",
    seen: "quoted",
  },
  {
    id: "imc-307.2.3.1",
    title:
      "International Mechanical Code 307.2.3.1, Water-level monitoring devices (trade notes on 307.2.3.1 and UL 508)",
    what: "Down-flow units: a level device inside the primary pan; a device in the drain line does not count there.",
    seen: "quoted",
  },
  {
    id: "imc-307.2.4",
    title: "International Mechanical Code 307.2.4, Traps (building officials' forum quotations, 2012 and later texts)",
    what: "Condensate drains are trapped as the equipment manufacturer requires.",
    seen: "quoted",
  },
  {
    id: "imc-307.2.4.1",
    title:
      "International Mechanical Code 307.2.4.1, Ductless mini-split system traps (building officials' forum quotation)",
    what: "A check valve in the drain line or a trap.",
    seen: "quoted",
  },
  {
    id: "imc-307.2.5",
    title: "International Mechanical Code 2015 307.2.5, Drain line maintenance (trade article on IMC 2015 section 307)",
    what: "Lines can be cleared without cutting them.",
    seen: "quoted",
  },
  {
    id: "imc-307.3",
    title: "International Mechanical Code 307.3, Condensate pumps (twin of IRC 2018 M1411.4)",
    what: "A pump in an uninhabitable space stops its appliance when it fails.",
    seen: "quoted",
  },
  {
    id: "irc-m1411.3",
    title: "International Residential Code 2018 M1411.3.1 to M1411.5 (p. 531)",
    what: "Auxiliary pans, secondary drains of 3/4 in at one eighth in 12, level devices, pumps.",
    seen: "read",
  },
  {
    id: "imc-305.4",
    title: "International Mechanical Code 305.4, Interval of support (trade article that reproduces the table)",
    what: "Most spacing of hangers by material and size, sloping and upright.",
    seen: "quoted",
  },
  {
    id: "irc-p2605.1",
    title: "International Residential Code 2018 Table P2605.1, Piping support (p. 646, in part)",
    what: "Most spacing of supports by material and size, sloping and upright.",
    seen: "read",
  },
  {
    id: "ipc-704",
    title: "International Plumbing Code 704 as adopted (Chicago Municipal Code 18-29-704)",
    what: "Slopes of drainage piping, no reduction in the direction of flow, branches at least 10 diameters from the foot of a stack.",
    seen: "read",
  },
  {
    id: "ipc-708.1",
    title:
      "International Plumbing Code 708.1, Cleanouts (2018 text quoted in a forum; Chicago Municipal Code 18-29-708)",
    what: "Cleanouts at most 100 ft apart and at turns of more than 45 degrees.",
    seen: "quoted",
  },
  {
    id: "ipc-802",
    title: "International Plumbing Code 802, Indirect wastes (Chicago Municipal Code 18-29-802)",
    what: "Air gap of twice the effective opening (at least 1 in); air break; trapped where long; receptor within reach.",
    seen: "read",
  },
  {
    id: "ipc-1002",
    title: "International Plumbing Code 1002 as adopted (Chicago Municipal Code 18-29-1002)",
    what: "No double trapping; trap seals of 2 to 4 in.",
    seen: "read",
  },
  {
    id: "ipc-table-909.1",
    title: "International Plumbing Code Table 909.1, Maximum distance of trap from vent (trade magazine table)",
    what: "5, 6, 8, 12 and 16 ft for 1-1/4 to 4 in.",
    seen: "quoted",
  },
  {
    id: "ipc-table-1106.2",
    title: "International Plumbing Code 2015-2021 Table 1106.2, Storm drain pipe sizing",
    what: "Capacity of storm drains in gpm; one cell confirmed by a forum quotation of the 2021 code.",
    seen: "memory",
  },

  // Uniform codes
  {
    id: "upc-814.1",
    title: "Uniform Plumbing Code 814.1, Condensate disposal (adopted-code reproduction)",
    what: "Indirect waste only; slope of at least 1/8 in per ft (10.4 mm/m) or 1 percent; corrosion resistant; not over a public way.",
    seen: "read",
  },
  {
    id: "upc-814.1.1",
    title: "Uniform Plumbing Code 814.1.1, Condensate pumps (adopted-code reproduction)",
    what: "Each unit has a sump of its own and an interlock; several pumps may share an indirect waste if each has a check valve.",
    seen: "read",
  },
  {
    id: "upc-814.2",
    title: "Uniform Plumbing Code 2024 814.2, Condensate control (code publisher's bulletin, May 2026)",
    what: "Drain and one further protection where overflow can cause damage; the extra drain at least 3/4 in.",
    seen: "read",
  },
  {
    id: "upc-814.2-earlier",
    title: "Uniform Plumbing Code 814.2, Condensate control, earlier wording (adopted-code reproduction)",
    what: "No further protection where overflow can damage replaceable lay-in ceiling tiles alone; the 2024 text no longer says so.",
    seen: "read",
  },
  {
    id: "upc-814.3",
    title:
      "Uniform Plumbing Code 814.3 and Table 814.3, Condensate waste sizing (Uniform Mechanical Code 2003 Table 310.3 in a training comparison of codes)",
    what: "Least size for up to 20, 40, 90, 125 and 250 tons, pipe three-quarters full at 1/8 in per ft.",
    seen: "quoted",
  },
  {
    id: "upc-814.5",
    title:
      "Uniform Mechanical Code 2024 310.5 (twin of UPC 814.5), Point of discharge (code publisher's bulletin, February 2024)",
    what: "Indirect discharge by air gap or air break to listed receptors; trapped as the manufacturer says.",
    seen: "read",
  },
  {
    id: "upc-814.6",
    title: "Uniform Plumbing Code 814.6 (older 807.2), Condensate waste from air conditioning coils",
    what: "Direct connection to a lavatory tailpiece or bathtub overflow only where one party controls both.",
    seen: "quoted",
  },
  {
    id: "upc-801",
    title: "Uniform Plumbing Code 801.1 to 801.3, Indirect wastes (code extract)",
    what: "Drainage air gap of at least 1 in above the flood rim.",
    seen: "read",
  },
  {
    id: "upc-803",
    title: "Uniform Plumbing Code 803, Indirect waste piping (code extract)",
    what: "Indirect pipe of 5 to 15 ft is trapped.",
    seen: "read",
  },
  {
    id: "upc-707.4",
    title: "Uniform Plumbing Code 707.4, Cleanouts (code publisher's bulletins 2017 and 2024)",
    what: "A cleanout at the upper terminal, each 100 ft, and for turns adding up to more than 135 degrees.",
    seen: "read",
  },
  {
    id: "upc-table-1002.2",
    title: "Uniform Plumbing Code Table 1002.2, Horizontal lengths of trap arms (summaries)",
    what: "2.5, 3.5, 5, 6 and 10 ft for 1-1/4 to 4 in.",
    seen: "quoted",
  },
  {
    id: "upc-table-1103.2",
    title: "Uniform Plumbing Code Table 1103.2, Horizontal storm drains (older basis)",
    what: "Capacities that follow Manning's equation, n 0.015, full, nominal bore.",
    seen: "memory",
  },
  {
    id: "mn-4714.0313",
    title: "Minnesota Rules 4714.0313 (Uniform Plumbing Code 313.3 as amended)",
    what: "Spacing of hangers and supports.",
    seen: "read",
  },
  {
    id: "nspc-13.6.1",
    title: "National Standard Plumbing Code 2006, Table 13.6.1 (illustrated edition p. 321)",
    what: "Capacity of vertical leaders flowing 7/24 full.",
    seen: "read",
  },

  // Elsewhere
  {
    id: "metric-practice",
    title:
      "Metric practice: coil drains fall at least 1 cm per m (European installers' guidance; Australian strata guidance)",
    what: "1 % as least and 2 % as usual fall, pipes half full, brackets 1.5 to 2 m apart. Common practice.",
    seen: "read",
  },
  {
    id: "bs-en-12056-2",
    title: "EN 12056-2, Gravity drainage systems inside buildings",
    what: "Degree of filling 50 % (System I), 1 % least gradient; annex B capacities of drains.",
    seen: "memory",
  },
  {
    id: "as-nzs-3500.2",
    title: "AS/NZS 3500.2:2015 clause 13.21 as quoted in an Australian builders' handbook",
    what: "Tundish connection; air gap of twice the discharge pipe's bore; accessible, trapped.",
    seen: "quoted",
  },
  {
    id: "nt-specification",
    title: "Northern Territory Standard Specification, Buildings, 2009, 18.4",
    what: "Condensate drains of at least 20 mm, insulated within the building.",
    seen: "read",
  },
  { id: "hk-cap-123i", title: "Hong Kong Cap. 123I regulation 25", what: "Depth of trap seals.", seen: "read" },
  { id: "ontario-7.2.3.1", title: "Ontario Building Code 7.2.3.1", what: "Trap seal of at least 38 mm.", seen: "read" },
  {
    id: "vrf-manual",
    title: "Installation manual of a variable refrigerant flow system (maker not named)",
    what: "Fall 1:100, hangers 0.8 to 1.0 m apart, branches join from the top, no two opposite at one level, vent at the high point.",
    seen: "read",
  },

  // Trade and design guidance
  {
    id: "trap-manuals",
    title: "Air handler installation manuals, trap details (makers not named)",
    what: "Draw-through: drop of the pan's static plus 1 in, seal of half that. Blow-through: seal of the static plus 1/2 in, outlet 1/2 in down.",
    seen: "read",
  },
  {
    id: "unit-manuals",
    title: "Installation manuals of fan coils and air handlers (makers not named)",
    what: "A trap of its own for each unit, no common trap or vent, vent downstream of the trap.",
    seen: "read",
  },
  {
    id: "trap-article",
    title: "Article on condensate traps of cooling coils in an HVAC engineering magazine",
    what: "Without a seal air rushes in and stops the water; water stands in the pan where the drop is short of the suction.",
    seen: "read",
  },
  {
    id: "nih-traps",
    title: "National Institutes of Health, DRM News to Use, August 2015",
    what: "Size traps with dirty filters; the pan drains with the fan on and off.",
    seen: "read",
  },
  {
    id: "three-pints-per-hour",
    title: "Cooling training procedure: 3 pints an hour per ton",
    what: "0.375 US gal/h of condensate per ton of refrigeration.",
    seen: "read",
  },
  {
    id: "design-guide-condensate",
    title:
      'HVAC design guide "Outdoor Air Intakes", section on drainage and collection of coil condensate (author and edition unknown)',
    what: "Drain sizes by coil load: 2, 5, 30, 50, 160, 300 and 430 tons for 3/4 to 4 in.",
    seen: "read",
  },
  {
    id: "designer-rule-sheet",
    title: "Designers' rule-of-thumb sheet (origin not named)",
    what: "Condensate mains one size or more above the code's; 0.006 gpm per ton of unitary equipment.",
    seen: "read",
  },
  {
    id: "condensate-equation",
    title: "Engineering reference on condensate from air conditioning",
    what: "gpm = cfm times difference of humidity ratio over (8.33 times specific volume).",
    seen: "read",
  },
  {
    id: "switch-instructions",
    title: "Installers' instructions of overflow switches (makers not named)",
    what: "Normally closed contacts in series in the R or Y conductor; prove by filling the pan.",
    seen: "read",
  },
  {
    id: "epa-moisture",
    title: "U.S. EPA, Moisture Control Guidance, 2013, operation and maintenance",
    what: "Refill traps before the cooling season.",
    seen: "read",
  },

  // Physics
  {
    id: "unit-definitions",
    title: "International yard and pound (1959), SI brochure; conventional inch of water",
    what: "Exact conversion factors.",
    seen: "read",
  },
  {
    id: "open-channel-circle",
    title:
      "Open-channel geometry of circular sections (table credited to a 1959 open-channel hydraulics text, table 2-2)",
    what: "Area, wetted perimeter, hydraulic radius and top width of a part-full circle.",
    seen: "read",
  },
  {
    id: "manning",
    title:
      "Manning's equation with n for plastic, copper and cast iron (public listings of roughness; Austin drainage criteria table 5-2; Winchester code table 4)",
    what: "V = R^(2/3) S^(1/2) / n.",
    seen: "read",
  },
  {
    id: "manning-condensate-n",
    title: "Design roughness of slimed small drains (public handbook listing of sewers with slime, n 0.012 least)",
    what: "n = 0.012 as the design figure where biofilm grows.",
    seen: "read",
  },
  {
    id: "half-full-table",
    title: "United States plumbing engineering tables, sloping drains half full",
    what: "Capacities and velocities; they follow Manning's equation with n 0.015 and nominal bores.",
    seen: "memory",
  },
  {
    id: "colebrook-white",
    title: "Colebrook-White equation in explicit gradient form, laminar f = 64/Re",
    what: "Velocity from gradient, roughness and viscosity.",
    seen: "read",
  },
  {
    id: "nbs-monograph-31",
    title:
      "National Bureau of Standards Monograph 31 and BMS 132, capacities of plumbing stacks (formulas also in a plumbing continuing-education article)",
    what: "q = 27.8 r^(5/3) d^(8/3) gpm; terminal velocity 3.0 (q/d)^(2/5) ft/s; terminal length 0.052 V^2 ft.",
    seen: "quoted",
  },
  {
    id: "hydrostatics",
    title: "Hydrostatics of a U-shaped seal",
    what: "Pressure difference over the weight density of water; volume conserved between the legs.",
    seen: "none",
  },
  {
    id: "stefan-diffusion",
    title:
      "Stefan diffusion through a still column (heat and mass transfer textbook problem, public page); diffusivity exponent 1.81 (thesis extract)",
    what: "Rate at which an idle seal evaporates.",
    seen: "quoted",
  },
  { id: "bs-5572", title: "BS 5572, evaporation of idle seals", what: "About 2.5 mm a week.", seen: "memory" },
  {
    id: "air-in-pipes",
    title: 'Gravity pipeline air-lock factsheet 590.304-5; manual "Air in Water Pipes" (opening pages)',
    what: "Heads of air-bound low points add up.",
    seen: "quoted",
  },
  {
    id: "beam-tables",
    title: "Beam deflection tables (public engineering mechanics textbook, appendix B)",
    what: "5wL^4/384EI and wL^3/24EI of a simple span; wL^4/384EI of a fixed span.",
    seen: "read",
  },
  {
    id: "ashrae-fundamentals-1",
    title:
      "ASHRAE Handbook Fundamentals 2017, chapter 1, Psychrometrics (forms and values through the public tests of an open-source psychrometrics library)",
    what: "Saturation pressure, humidity ratio, enthalpy, volume, wet bulb, standard pressure.",
    seen: "quoted",
  },
  {
    id: "iapws-sr6-08",
    title: "IAPWS SR6-08(2011), Liquid water at 0.1 MPa",
    what: "Density and dynamic viscosity of water.",
    seen: "read",
  },
  {
    id: "iapws-sr1-86",
    title: "IAPWS SR1-86(1992), Saturation properties of ordinary water; IAPWS R1-76(2014), surface tension",
    what: "Saturation pressure and densities of liquid and vapor; surface tension.",
    seen: "memory",
  },
  {
    id: "iapws-if97",
    title: "IAPWS Industrial Formulation 1997, regions 1, 2 and 4",
    what: "Saturation pressure and enthalpy of vaporization.",
    seen: "read",
  },
  {
    id: "iso-12241",
    title: "ISO 12241, Thermal insulation for building equipment and industrial installations",
    what: "Heat flow through insulated pipes; film coefficients.",
    seen: "memory",
  },
  {
    id: "astm-c534",
    title: "ASTM C534, Flexible elastomeric insulation",
    what: "Conductivity of about 0.036 W/mK near 0 to 10 °C, at most 0.040 at 24 °C.",
    seen: "memory",
  },
  {
    id: "insulation-association",
    title: "Insulation trade association's page on condensation control",
    what: "Margin over the dew point of 0.75 F.",
    seen: "read",
  },

  // Pipes
  {
    id: "astm-d1785",
    title: "ASTM D1785, PVC pipe, Schedules 40 and 80 (public copy; public table of plastic pipe)",
    what: "Outside diameters, least walls and their tolerance.",
    seen: "read",
  },
  {
    id: "astm-d2665",
    title: "ASTM D2665, PVC drain, waste and vent pipe",
    what: "Schedule 40 dimensions from 1-1/4 in up.",
    seen: "read",
  },
  {
    id: "astm-d2661",
    title: "ASTM D2661, ABS Schedule 40 drain, waste and vent pipe",
    what: "Schedule 40 dimensions from 1-1/4 in up.",
    seen: "memory",
  },
  {
    id: "astm-d2846",
    title: "ASTM D2846, CPVC tube in copper tube sizes, SDR 11 (public document)",
    what: "Outside diameters and least walls.",
    seen: "read",
  },
  {
    id: "astm-b88",
    title: "ASTM B88, Copper water tube (public tables; copper trade association's tube handbook)",
    what: "Bores of types K, L and M.",
    seen: "read",
  },
  {
    id: "astm-b306",
    title: "ASTM B306, Copper drainage tube DWV (public table)",
    what: "Bores of drainage tube.",
    seen: "read",
  },
  {
    id: "en-1329-1",
    title: "EN 1329-1, PVC-U soil and waste pipes",
    what: "Outside diameters and walls.",
    seen: "memory",
  },
  {
    id: "en-1451-1",
    title: "EN 1451-1, Polypropylene soil and waste pipes, S20",
    what: "Outside diameters and walls.",
    seen: "memory",
  },
  {
    id: "en-1519-1",
    title: "EN 1519-1, Polyethylene soil and waste pipes, S12.5",
    what: "Outside diameters and walls.",
    seen: "memory",
  },
  {
    id: "pipe-data-sheets",
    title:
      "Resin and pipe property sheets (PVC, flexural modulus 360 000 psi; density 1400 kg/m3; conductivity 0.147 W/mK)",
    what: "Stiffness, density and conductivity of PVC.",
    seen: "read",
  },
  {
    id: "astm-a53",
    title: "ASTM A53 / ASME B36.10M, Steel pipe, Schedule 40",
    what: "Outside diameters and nominal walls.",
    seen: "memory",
  },
  {
    id: "astm-a74",
    title: "ASTM A74, Cast iron soil pipe, service weight",
    what: "Outside and inside diameters of the barrel.",
    seen: "memory",
  },
  {
    id: "astm-f876",
    title: "ASTM F876, PEX tubing, SDR 9",
    what: "Outside diameters, least walls and their tolerance.",
    seen: "memory",
  },
  {
    id: "astm-f2769",
    title: "ASTM F2769, PE-RT tubing, SDR 9",
    what: "The dimensions of PEX tubing.",
    seen: "memory",
  },
  {
    id: "pvc-handbook",
    title: "PVC pipe handbook: modulus of elasticity by temperature",
    what: "400 000 psi at 23 °C (class value); 0.93, 0.88, 0.84, 0.79, 0.75 and 0.70 of it at 32, 38, 43, 49, 54 and 60 °C.",
    seen: "memory",
  },
  {
    id: "bridge-code-pvc",
    title: "Bridge design code, class value for PVC pipe",
    what: "Apparent modulus of 140 000 psi under a load of 50 years at 23 °C.",
    seen: "memory",
  },
  {
    id: "metal-data",
    title: "Engineering tables of metals",
    what: "Modulus of copper 117 GPa, steel 200 GPa, gray iron at least 66 GPa; density of copper 8940 kg/m3.",
    seen: "memory",
  },
  {
    id: "iso-10456",
    title: "ISO 10456, Building materials, tabulated design values, table 3",
    what: "Conductivity and density of metals and solid plastics.",
    seen: "memory",
  },
  {
    id: "pe-handbook",
    title: "Polyethylene pipe handbook, appendix table B.1.1 (as filed in a county record)",
    what: "Apparent modulus of polyethylene by time.",
    seen: "read",
  },
] as const satisfies readonly (Omit<Source, "id"> & { readonly id: string })[];

export type SourceId = (typeof register)[number]["id"];

const byId: ReadonlyMap<string, Source> = new Map(register.map((entry): [string, Source] => [entry.id, entry]));

/** Every source, in the order of the register. */
export const sources: readonly Source[] = register;

/** The citation behind an id. Every `SourceId` has one. */
export const source = (id: SourceId): Source => byId.get(id)!;
