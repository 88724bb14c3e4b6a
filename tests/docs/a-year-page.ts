import { AUDITOR_LIMITS, type Auditor } from "../../src/service/auditor.js";
import { workBytes } from "../../src/service/work-bytes.js";
import { storedApp } from "../builders/stored-app.js";
import { engines } from "../contract/engines.js";
import { aYear } from "../end-to-end/a-year.js";

/** Works on documents where it is asked: the page tells what the sources answer, built or not. */
const inPlace: Auditor = {
  limits: AUDITOR_LIMITS,
  ready: true,
  warm: async () => {},
  perform: async ({ work, body, include = [], beside }) =>
    workBytes(work, body, { include, ...(beside !== undefined && { beside }) }),
  close: async () => {},
};

/** docs/a-year.md as it should be now. Starts a service and a database of its own, and stops them. */
export const aYearPage = async (): Promise<string> => {
  let clock = new Date();
  const service = await storedApp(engines[0]!, { auditor: inPlace, now: () => clock });
  try {
    const setClock = (now: Date) => {
      clock = now;
    };
    return (await aYear({ ask: service.ask, setClock })).page;
  } finally {
    await service.close();
  }
};
