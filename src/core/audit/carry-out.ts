import { expand } from "../network/expand.js";
import { explain } from "../network/explain.js";
import type { Problem } from "../network/model.js";
import { ProblemList } from "../network/problems.js";
import { readNetwork } from "../network/read.js";
import type { RawDocument } from "../network/schema.js";
import { draftOf, stretch, Undecided, Unfit } from "./draft.js";
import { Remedy } from "./remedy.js";
import { ACTIONS } from "./remedy-actions.js";

const MAX_REMEDIES = 1000;

export type CarriedOut =
  | { readonly ok: true; readonly document: RawDocument }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly total: number };

/**
 * The document as it is once remedies have been carried out, one after the other, its typicals written out.
 * @param document a network document that reads (parsed JSON)
 * @param remedies as findings propose them (parsed JSON)
 * @returns the document, or every remedy that cannot be carried out as it stands, with a pointer into the list. Some leave
 * a choice to whoever draws the network: where to lead a drain, how to hang a whole run
 */
export function carryOut(document: unknown, remedies: unknown): CarriedOut {
  const problems = new ProblemList();
  if (!Array.isArray(remedies)) problems.add("", "wrong-type", "a list of remedies is wanted", "write [ … ]");
  else if (remedies.length > MAX_REMEDIES)
    problems.add("", "too-many", `more than ${MAX_REMEDIES} remedies`, "carry them out in parts");
  else remedies.forEach((each: unknown, i) => void explain(Remedy, each, `/${i}`, problems));
  if (problems.total > 0) return { ok: false, problems: problems.listed, total: problems.total };
  const expanded = expand(document);
  if (!expanded.ok) return expanded;
  const draft = draftOf(expanded.document);
  (remedies as Remedy[]).forEach((remedy, i) => {
    const action = ACTIONS.get(remedy.action);
    if (action === undefined) {
      problems.add(
        `/${i}/action`,
        "bad-value",
        `there is no action ${JSON.stringify(remedy.action)}`,
        "copy the remedy from a finding",
      );
      return;
    }
    try {
      action(draft, remedy);
    } catch (error) {
      if (error instanceof Undecided)
        problems.add(`/${i}`, "undecided", error.message, "post the network as it is to be instead");
      else if (error instanceof Unfit)
        problems.add(`/${i}/${error.field}`, error.code, error.message, "copy the remedy from a finding");
      else throw error;
    }
  });
  if (problems.total > 0) return { ok: false, problems: problems.listed, total: problems.total };
  stretch(draft);
  const { nodes, pipes, overflowDevices, circuits } = draft as unknown as RawDocument;
  const after: RawDocument = {
    ...expanded.document,
    nodes,
    pipes,
    ...(overflowDevices?.length ? { overflowDevices } : {}),
    ...(circuits?.length ? { circuits } : {}),
  };
  const read = readNetwork(after);
  if (read.ok) return { ok: true, document: after };
  const told = read.problems.map(
    ({ code, pointer, detail, hint }): Problem => ({
      pointer: "",
      code,
      detail: `together they leave a network that is none: ${detail} (${pointer})`,
      ...(hint === undefined ? {} : { hint }),
    }),
  );
  return { ok: false, problems: told, total: read.total };
}
