/** Drainward's library: everything it promises, and nothing else. */
export {
  type Audit,
  type AuditFinding,
  type AuditSubject,
  INCLUDES,
  type Include,
  type RuleTally,
} from "./audit/answer.js";
export { auditSchema, comparisonSchema } from "./audit/answer-schema.js";
export {
  type BackupAnswer,
  type BackupEvent,
  type BackupOpening,
  type BackupResult,
  backup,
  type Minutes,
  type Volume,
} from "./audit/backup.js";
export { backupSchema } from "./audit/backup-schema.js";
export { blockageSchema } from "./audit/blockage-schema.js";
export { carryOut } from "./audit/carry-out.js";
export {
  type CitedLimit,
  type MaterialEntry,
  materials,
  type ProfileInfo,
  profiles,
  type RuleInfo,
  rules,
  type SizeTableInfo,
} from "./audit/catalogues.js";
export { type CommissioningResult, commissioning } from "./audit/commissioning.js";
export {
  commissioningObservations,
  commissioningResultsSchema,
  type MadeObservation,
} from "./audit/commissioning-results.js";
export { commissioningSchema } from "./audit/commissioning-schema.js";
export type { CommissioningSheet, SheetBox, SheetCheck, SheetStop } from "./audit/commissioning-sheet.js";
export { type Comparison, compare, type FindingChange } from "./audit/compare.js";
export { type DwellingReport, dwellingReport } from "./audit/dwelling.js";
export { catalogueVersion, VERSION } from "./audit/engine.js";
export { type Isolation, isolation } from "./audit/isolation.js";
export { LIMITS } from "./audit/limits.js";
export { type Blockage, type BlockageResult, locateBlockage } from "./audit/locate.js";
export { type MeasuredResult, measured, type Reading } from "./audit/measured.js";
export { type CleaningReason, type Places, placesOf } from "./audit/places.js";
export { remedySchema } from "./audit/remedy.js";
export { dwellingSchema, isolationSchema, surveyListSchema } from "./audit/report-schemas.js";
export { type Fate, type Revised, type ReviseResult, revise, type Tracked } from "./audit/revise.js";
export { type AuditOptions, type AuditResult, audit, digest } from "./audit/run.js";
export { type SurveyList, surveyList } from "./audit/survey-list.js";
export {
  type CalculationAnswer,
  type CalculationAssumption,
  type CalculationResult,
  calculate,
  type InputValue,
  type JudgedCondition,
  type WorkingLine,
} from "./calculations/calculate.js";
export type { ResultValue } from "./calculations/calculation.js";
export {
  type CalculationCondition,
  type CalculationFigure,
  type CalculationInfo,
  type CalculationInput,
  type CalculationOutcome,
  calculations,
} from "./calculations/calculations.js";
export type { InputProblem } from "./calculations/read-inputs.js";
export { type ExpandResult, expand } from "./network/expand.js";
export { type JsonProblem, type JsonResult, readJson } from "./network/json.js";
export type { Problem, Problems } from "./network/model.js";
export { observationSchema, type RawObservation, readObservations } from "./network/observations.js";
export { networkSchema } from "./network/schema.js";
export { renderBackup } from "./present/backup-text.js";
export { renderBlockage } from "./present/blockage-text.js";
export { renderCalculation } from "./present/calculation-sheet.js";
export { renderCommissioningPage } from "./present/commissioning-page.js";
export { renderCommissioning } from "./present/commissioning-text.js";
export { dateWords } from "./present/dates.js";
export {
  type DrawingResult,
  type DrawOptions,
  drawPath,
  drawRiser,
  type PathRequest,
  type RiserRequest,
} from "./present/draw.js";
export { type Content, type Html, html } from "./present/html.js";
export { htmlPage, type Page, servedPolicy } from "./present/page.js";
export { plain } from "./present/plain.js";
export { renderProblems } from "./present/problems.js";
export { type ReportOptions, type ReportResult, report } from "./present/report/report.js";
export { type Mark, severityMark } from "./present/severity-marks.js";
export { renderText } from "./present/text.js";
export { severityWords, verdictWords } from "./present/words.js";
