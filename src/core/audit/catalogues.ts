import { type MaterialFigure, type MaterialInfo, materials as materialTable } from "../materials/materials.js";
import { CONNECTIONS, DISCHARGES } from "../profiles/outlets.js";
import type { Limit, Profile, SizeTable } from "../profiles/profile.js";
import { profiles as profileTable } from "../profiles/profiles.js";
import { sizeName } from "../quantity/sizes.js";
import { catalogue } from "../rules/catalogue.js";
import type { Rule } from "../rules/rule.js";
import { type SourceId, source } from "../sources/sources.js";

/** Everything that a verdict rests on, as plain data for the API, the command line and the documentation. */

export interface CitedLimit {
  readonly name: string;
  /** SI base */
  readonly value: number;
  readonly quantity: string;
  readonly source: string;
  readonly citation: string;
  readonly confidence: string;
}

export interface RuleInfo {
  readonly id: string;
  readonly group: string;
  readonly title: string;
  readonly question: string;
  readonly why: string;
  readonly severity: string;
  readonly kind: string;
  readonly stage: string;
  readonly needs: readonly string[];
  /** its limits in each profile */
  readonly limits: readonly { readonly profile: string; readonly limit: CitedLimit }[];
  readonly notApplicable: string;
  readonly remedy: string;
  readonly sources: readonly { readonly id: string; readonly citation: string }[];
}

export interface ProfileInfo {
  readonly id: string;
  readonly title: string;
  readonly edition: string;
  readonly limits: readonly CitedLimit[];
  readonly codeTable: SizeTableInfo | null;
  readonly practiceTable: SizeTableInfo | null;
  readonly aboveTable: string;
  readonly sizeBasis: string;
  readonly ventRule: string;
  readonly overflowMethods: readonly CitedMethod[];
  readonly inLineDevice: string;
  readonly overflowExemption: string;
  readonly cleanoutSpacing: boolean;
  /** `outlet.places`: where a drain may end */
  readonly outletPlaces: readonly ({ readonly discharge: string } & CitedRuling)[];
  /** `outlet.connections`: how it may end, and at which places the ruling differs (`discharge` null: anywhere else) */
  readonly outletConnections: readonly ({
    readonly connection: string;
    readonly discharge: string | null;
  } & CitedRuling)[];
  /** `install.materials`: drain materials by edition, the first judged by; none where the profile lists none */
  readonly materialLists: readonly ({
    readonly edition: string;
    readonly materials: readonly string[];
  } & CitedFigure)[];
  /** what the code says at other times or in other places */
  readonly editionNotes: readonly ({ readonly topic: string; readonly text: string } & CitedFigure)[];
  /** the most between supports, m, by material and size; null: every larger size, or not known */
  readonly supportSpacing: readonly SpacingTableInfo[];
  /** bores in m from which a pipe without a nominal size of its own stands for one */
  readonly nominalEquivalents: {
    readonly rows: readonly { readonly size: string; readonly bore: number }[];
    readonly source: string;
    readonly citation: string;
    readonly confidence: string;
  };
  readonly severities: readonly { readonly rule: string; readonly severity: string }[];
}

interface CitedFigure {
  readonly source: string;
  readonly citation: string;
  readonly confidence: string;
}

/** allowed, ask (the authority decides) or forbidden, and in which editions. */
export interface CitedRuling extends CitedFigure {
  readonly ruling: string;
  readonly edition: string;
}

export interface SpacingTableInfo {
  readonly name: string;
  readonly material: string;
  readonly rows: readonly {
    readonly upTo: string | null;
    readonly spacing: number;
    readonly upright: number | null;
    readonly source: string;
    readonly citation: string;
    readonly confidence: string;
  }[];
}

/** A method of overflow protection that a profile accepts. */
export interface CitedMethod {
  readonly method: string;
  readonly edition: string;
  readonly source: string;
  readonly citation: string;
  readonly confidence: string;
}

export interface SizeTableInfo {
  /** connected cooling capacity in W, up to and including, and the nominal size for it */
  readonly rows: readonly { readonly upTo: number; readonly size: string }[];
  readonly source: string;
  readonly citation: string;
  readonly confidence: string;
}

const cited = (limit: Limit): CitedLimit => ({
  name: limit.name,
  value: limit.value,
  quantity: limit.kind,
  source: limit.source,
  citation: source(limit.source).title,
  confidence: limit.confidence,
});

const withCitation = <T extends { readonly source: SourceId }>(figure: T): T & { readonly citation: string } => ({
  ...figure,
  citation: source(figure.source).title,
});

const ruleInfo = (rule: Rule): RuleInfo => ({
  id: rule.id,
  group: rule.id.slice(0, rule.id.indexOf(".")),
  title: rule.title,
  question: rule.question,
  why: rule.why,
  severity: rule.severity,
  kind: rule.kind,
  stage: rule.stage,
  needs: rule.needs,
  limits: profileTable.flatMap((profile) =>
    [...profile.limits.values()]
      .filter((limit) => rule.limits.includes(limit.name))
      .map((limit) => ({ profile: profile.id, limit: cited(limit) })),
  ),
  notApplicable: rule.notApplicable,
  remedy: rule.remedy,
  sources: rule.sources.map((id) => ({ id, citation: source(id).title })),
});

const tableInfo = (table: SizeTable | null, profile: Profile): SizeTableInfo | null =>
  table === null
    ? null
    : {
        rows: table.rows.map(({ upTo, size }) => ({ upTo, size: sizeName(size, profile.sizeSystem) })),
        source: table.source,
        citation: source(table.source).title,
        confidence: table.confidence,
      };

const profileInfo = (profile: Profile): ProfileInfo => ({
  id: profile.id,
  title: profile.title,
  edition: profile.edition,
  limits: [...profile.limits.values()].map(cited),
  codeTable: tableInfo(profile.codeTable, profile),
  practiceTable: tableInfo(profile.practiceTable, profile),
  aboveTable: profile.aboveTable,
  sizeBasis: profile.sizeBasis,
  ventRule: profile.ventRule,
  overflowMethods: profile.overflowMethods.map((each) => ({ ...each, citation: source(each.source).title })),
  inLineDevice: profile.inLineDevice,
  overflowExemption: profile.overflowExemption,
  cleanoutSpacing: profile.cleanoutSpacing,
  outletPlaces: DISCHARGES.map((discharge) => ({ discharge, ...withCitation(profile.outletPlaces[discharge]) })),
  outletConnections: CONNECTIONS.flatMap((connection) => {
    const { except, ...ruling } = profile.outletConnections[connection];
    return [
      { connection, discharge: null, ...withCitation(ruling) },
      ...Object.entries(except).map(([discharge, own]) => ({ connection, discharge, ...withCitation(own) })),
    ];
  }),
  materialLists: profile.materialLists.map(withCitation),
  editionNotes: profile.editionNotes.map(withCitation),
  supportSpacing: [...profile.supportSpacing].map(([material, rows]) => ({
    name: `support.spacing.${material}`,
    material,
    rows: rows.map((row) => ({
      upTo: Number.isFinite(row.upTo) ? sizeName(row.upTo, profile.sizeSystem) : null,
      spacing: row.spacing,
      upright: Number.isNaN(row.upright) ? null : row.upright,
      source: row.source,
      citation: source(row.source).title,
      confidence: row.confidence,
    })),
  })),
  nominalEquivalents: {
    rows: profile.nominalEquivalents.rows.map(({ size, bore }) => ({
      size: sizeName(size, profile.sizeSystem),
      bore,
    })),
    source: profile.nominalEquivalents.source,
    citation: source(profile.nominalEquivalents.source).title,
    confidence: profile.nominalEquivalents.confidence,
  },
  severities: [...profile.severities].map(([rule, severity]) => ({ rule, severity })),
});

/** Every rule, in the order of the documentation. */
export const rules = (): readonly RuleInfo[] => catalogue.map(ruleInfo);

/** Every profile. */
export const profiles = (): readonly ProfileInfo[] => profileTable.map(profileInfo);

/** A figure that nobody knows is null. */
const figureInfo = <F extends MaterialFigure>(figure: F) => ({
  ...figure,
  value: Number.isNaN(figure.value) ? null : figure.value,
});

const materialInfo = (material: MaterialInfo) => ({
  ...material,
  stiffness: {
    ...material.stiffness,
    modulus: figureInfo(material.stiffness.modulus),
    creep: material.stiffness.creep.map(figureInfo),
  },
  density: figureInfo(material.density),
  conductivity: figureInfo(material.conductivity),
});

/** A pipe material: its bores, and how it bends and conducts; what nobody knows is null. */
export type MaterialEntry = ReturnType<typeof materialInfo>;

/** Every pipe material. */
export const materials = (): readonly MaterialEntry[] => materialTable.map(materialInfo);
