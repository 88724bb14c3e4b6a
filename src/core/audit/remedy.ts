import * as z from "zod";

export const Remedy = z
  .strictObject({
    action: z
      .string()
      .max(32)
      .meta({ description: "What to do, as findings call it.", examples: ["raise-node"] }),
    on: z
      .string()
      .max(300)
      .meta({ description: "Id of what it is done to.", examples: ["M-04"] }),
    amount: z
      .number()
      .meta({ description: "How much, in the SI base unit.", examples: [0.022] })
      .optional(),
    unit: z
      .string()
      .max(16)
      .meta({ description: "The unit of the amount, as the finding tells it.", examples: ["m"] })
      .optional(),
    what: z
      .string()
      .max(128)
      .meta({ description: "What the amount is of, as the finding tells it.", examples: ["seal depth"] })
      .optional(),
    text: z
      .string()
      .max(2000)
      .meta({ description: "The finding's sentence; not looked at.", examples: ["Raise M-04 by 22 mm."] })
      .optional(),
    clears: z
      .array(z.string().max(400))
      .max(10_000)
      .meta({ description: "The findings that it clears; not looked at.", examples: [["fall.reverse~p:P-14"]] })
      .optional(),
    contains: z
      .number()
      .meta({ description: "How many blockages it contains; not looked at.", examples: [3] })
      .optional(),
  })
  .meta({
    description: "A remedy as a finding proposes it.",
    examples: [{ action: "raise-node", on: "M-04", amount: 0.022, unit: "m" }],
  });

export type Remedy = z.infer<typeof Remedy>;

let made: object | undefined;

/** JSON Schema (draft 2020-12) of one remedy. The same object each time: do not change it. */
export const remedySchema = (): object => {
  made ??= z.toJSONSchema(Remedy, { target: "draft-2020-12" });
  return made;
};
