import type { Speaker } from "../quantity/speaker.js";
import type { RemedyStep } from "../rules/rule.js";

/** What to do, in one sentence in the document's units. */
export function remedyWords(step: RemedyStep, speak: Speaker): string {
  const at =
    step.on.pipe !== undefined ? speak.pipe(step.on.pipe) : step.on.node !== undefined ? speak.node(step.on.node) : "";
  const by =
    step.amount === undefined
      ? null
      : step.kind === "size"
        ? speak.size(step.amount)
        : speak.figure(step.amount, step.kind ?? "length", "up");
  const level = step.amount === undefined ? null : speak.elevation(step.amount, step.on.node);
  switch (step.action) {
    case "raise-node":
      return by === null ? `Raise ${at}.` : `Raise ${at} by ${by}.`;
    case "lower-node":
      return by === null ? `Lower ${at}.` : `Lower ${at} by ${by}.`;
    case "re-hang":
      return by === null
        ? `Re-hang ${at} so that it falls along the flow.`
        : `Re-hang ${at} to ${step.what ?? "a grade"} of at least ${by}.`;
    case "enlarge-pipe":
      return by === null ? `Enlarge ${at}.` : `Enlarge ${at} to ${by}.`;
    case "add-trap":
      return by === null
        ? `Fit a trap at ${at}.`
        : `Fit a trap at ${at} with a ${step.what ?? "seal depth"} of at least ${by}.`;
    case "rebuild-trap":
      return by === null
        ? `Rebuild the trap at ${at}.`
        : `Rebuild the trap at ${at} with a ${step.what ?? "seal depth"} of at least ${by}.`;
    case "prime-trap":
      return by === null ? `Fill the trap at ${at}.` : `Fill the trap at ${at} with at least ${by}.`;
    case "remove-trap":
      return `Take out the trap at ${at}.`;
    case "add-vent":
      return level === null ? `Fit an open vent at ${at}.` : `Fit an open vent at ${at}, its top above ${level}.`;
    case "raise-vent":
      return step.kind === "length" && level !== null
        ? `Raise the vent at ${at} to a top above ${level}.`
        : `Raise the vent at ${at} by ${by}.`;
    case "open-vent":
      return `Take the cap off the vent at ${at}.`;
    case "replace-vent":
      return `Replace the vent at ${at} by an open one.`;
    case "remove-vent":
      return `Remove the vent at ${at} and close its connection.`;
    case "cap":
      return step.what === undefined ? `Cap ${at}.` : `Close the ${step.what} of ${at}.`;
    case "move-connection":
      if (step.what !== undefined && by !== null)
        return `Move the connection of ${at} to a ${step.what} of at least ${by}.`;
      return by === null ? `Move the connection of ${at}.` : `Raise the connection of ${at} by ${by}.`;
    case "connect":
      return `Connect ${at} to a drain that reaches an approved outlet.`;
    case "remove-pipe":
      return `Take out ${at}.`;
    case "reverse-pipe":
      return `Re-lay ${at} so that it falls along the flow.`;
    case "survey":
      return `Survey ${at}.`;
    case "decide":
      return `Let the engineer or the authority decide about ${at}.`;
    case "set-device":
      return by === null ? `Set the switch at ${at}.` : `Set the switch at ${at} to ${by}.`;
  }
}
