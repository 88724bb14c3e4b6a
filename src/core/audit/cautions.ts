import { type Compiled, KIND } from "../graph/compiled.js";

/** What can hurt, and who decides: said with every audit, the most relevant first. */
export function cautionsFor(net: Compiled): string[] {
  const sanitary = net.nodes.some(
    (node, i) =>
      net.kind[i] === KIND.outlet &&
      (node.outlet!.discharge === "sanitary-drain" || node.outlet!.connection === "direct"),
  );
  return [
    "This is a calculation, not an approval: the authority having jurisdiction, the manufacturer's instructions and a licensed designer decide.",
    ...(sanitary
      ? [
          "A drain joined to a sanitary pipe can let sewer gas into the air stream: connect indirectly, and leave the connection to a licensed plumber.",
        ]
      : []),
    "Isolate equipment and prove it dead before opening a cabinet or touching a switch circuit: water and live parts meet in a drain pan.",
    "Slime and standing water carry microbes: wear gloves and eye protection, do not blow drains out into occupied rooms, and never mix biocides, acids and bleach.",
    "Ladders, attics, roofs and shafts need fall protection; never work alone in a confined space.",
    "Cutting or coring a slab, a fire-rated wall or a shaft needs its own approval and fire stopping.",
  ];
}
