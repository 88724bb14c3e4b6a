import type { Speaker } from "../quantity/speaker.js";
import type { RemedyStep } from "../rules/rule.js";

const placeOf = ({ on: { node, pipe, device, circuit } }: RemedyStep, speak: Speaker): string => {
  if (pipe !== undefined) return speak.pipe(pipe);
  if (node !== undefined) return speak.node(node);
  if (device !== undefined) return speak.device(device);
  return circuit === undefined ? "" : speak.circuit(circuit);
};

const contained = ({ contains }: RemedyStep): string => {
  const { drains, of } = contains!;
  if (of === 1) return "contains the blockage";
  return drains === of ? `contains all ${of} blockages` : `contains ${drains} of the ${of} blockages`;
};

/** What to do, in one sentence in the document's units. */
export function remedyWords(step: RemedyStep, speak: Speaker): string {
  const at = placeOf(step, speak);
  const by =
    step.amount === undefined
      ? null
      : step.kind === "size"
        ? speak.size(step.amount)
        : speak.figure(step.amount, step.kind ?? "length", "up");
  const limit = step.amount === undefined ? null : speak.figure(step.amount, step.kind ?? "length", "down");
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
      if (step.what === "pressure held") return `Replace the seal at ${at} by one that holds at least ${by}.`;
      return by === null
        ? `Rebuild the trap at ${at}.`
        : `Rebuild the trap at ${at} with a ${step.what ?? "seal depth"} of at least ${by}.`;
    case "prime-trap":
      return `Fill the trap at ${at}${by === null ? "" : ` with at least ${by}`}${step.what === undefined ? "" : ` ${step.what}`}.`;
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
    case "add-cleanout": {
      const place = step.what === undefined ? "" : `, ${step.what}`;
      return by === null
        ? `Fit a cleanout at ${at}${place}.`
        : `Fit a cleanout in ${at}, ${speak.figure(step.amount!, "length")} from its upper end${place}.`;
    }
    case "move-connection":
      if (step.what !== undefined && by !== null)
        return `Move the connection of ${at} to a ${step.what} of at least ${by}.`;
      if (step.what !== undefined) return `Move the connection of ${at} to the ${step.what}.`;
      return by === null ? `Move the connection of ${at}.` : `Raise the connection of ${at} by ${by}.`;
    case "add-supports":
      if (step.amount === 0) return `Carry ${at} all along.`;
      return `Support ${at} at least every ${speak.figure(step.amount!, "length", "down")}.`;
    case "insulate":
      return by === null ? `Insulate ${at}.` : `Insulate ${at} with at least ${by}.`;
    case "heat-trace":
      return `Fit heat tracing to ${at}.`;
    case "remake-joint":
      return `Remake the joint at the pan of ${at}: hand-tight, with a sealant that stays soft, and not cemented.`;
    case "disconnect":
      return `Take off ${at} what is no condensate of a coil, and lead it to a drain of its own.`;
    case "clear-access":
      return `Move what stands before the filter or service side of ${at}.`;
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
      return step.what === undefined
        ? `Set ${at} to trip at ${limit} or lower.`
        : `Set ${at} to trip at most ${limit} above ${step.what}.`;
    case "add-device":
      if (step.what === "receptor")
        return `Fit a level switch in the receptor at ${at} that stops the coils above and trips at ${level} or lower.`;
      return limit === null
        ? `Fit a level switch at the pan of ${at} that stops its water and trips before the pan spills.`
        : `Fit a level switch at the pan of ${at} that stops its water and trips at most ${limit} above the pan's outlet.`;
    case "repair-device":
      return `Put ${at} back to work, and trip it with water to see its coil stop.`;
    case "replace-device":
      return `Replace ${at} by a ${step.what} one.`;
    case "test-device":
      return `Trip ${at} with water and see its coil stop.`;
    case "wire-device":
      return `Wire ${at} into a circuit that stops its coil.`;
    case "rewire":
      return step.what === "series" || step.what === "parallel"
        ? `Wire the contacts of ${at} in ${step.what}.`
        : `Wire ${at} so that it breaks ${step.what}.`;
    case "add-pan":
      return step.what === "overhang"
        ? `Make the auxiliary pan under ${at} at least ${by} larger than the unit in length and in width.`
        : `Hang an auxiliary pan under ${at}, at least ${by} deep, drained to where somebody sees it or with a switch of its own that stops the coil.`;
    case "replace-pan":
      return step.what === "overhang"
        ? `Replace the auxiliary pan under ${at} by one at least ${by} larger than the unit in length and in width.`
        : `Replace the auxiliary pan under ${at} by one at least ${by} deep.`;
    case "interlock-device":
      return `Wire ${at} so that its trip stops every coil above ${step.what}: ${contained(step)}.`;
    case "watch-drain":
      return `Fit a level switch in the drain at ${at} that trips at ${level} or lower and stops every coil above ${step.what}: ${contained(step)}.`;
    case "interlock-pump":
      return `Wire a full sump at ${at} so that it stops every coil that drains into it.`;
    case "add-check-valve":
      return `Fit a check valve in the discharge of the pump at ${at}.`;
    case "replace-pump":
      return `Fit a pump at ${at} that lifts at least ${by}.`;
    case "lead-apart":
      return `Lead ${at} ${step.what}.`;
    case "set-air-gap":
      return `Let the pipe at ${at} end at least ${by} above the rim of what it drains into.`;
    case "move-outlet":
      return `Lead the drain that ends at ${at} to an approved place, such as a ${step.what!.replaceAll("-", " ")}.`;
    case "replace-pipe":
      return `Replace ${at} by pipe of ${step.what}, or of another material that the profile lists.`;
    case "give-access":
      return `Make the receptor at ${at} accessible, where it is seen.`;
  }
}
