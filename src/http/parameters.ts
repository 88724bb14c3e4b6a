// The parameters in paths of stored things, each described once.
const parameter = (description: string, example: string) => ({ type: "string", description, examples: [example] });

export const PARAMETERS = {
  building: parameter("Id of the building.", "alder-court"),
  revision: parameter("Number of the revision, or `latest`.", "3"),
  finding: parameter("Id of the finding.", "fall.reverse~p:P-14"),
  observation: parameter("Id of the observation.", "obs-2026-0714-1"),
  fanCoil: parameter("Id of the fan coil.", "F-0301"),
  riser: parameter("Id of the riser: of the node at its foot.", "J-01"),
  dwelling: parameter("Id of the dwelling.", "0301"),
  pipe: parameter("Id of the pipe.", "P-14"),
} as const;
