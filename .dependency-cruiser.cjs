// Holds the doors between the rooms shut (DEVELOPERS.md, "The house"). Rooms of the core stand in the order of the
// building: each may use only the rooms before it, so no cycle between rooms can be written.
const order = [
  "quantity",
  "sources",
  "physics",
  "materials",
  "profiles",
  "calculations",
  "network",
  "graph",
  "analysis",
  "rules",
  "audit",
  "present",
];
const peers = { quantity: 0, sources: 0, physics: 0 }; // the three ground-floor rooms may use one another
const room = (r) => `^src/core/${r}/`;
const upward = order.flatMap((from, i) => {
  const later = order.slice(i + 1).filter((to) => !(from in peers && to in peers));
  return later.length
    ? [
        {
          name: `${from}-uses-no-later-room`,
          severity: "error",
          from: { path: room(from) },
          to: { path: later.map(room).concat(["^src/core/index\\.ts$"]) },
        },
      ]
    : [];
});
const only = (pkg, rooms) => ({
  name: `${pkg}-only-in-its-rooms`,
  severity: "error",
  from: { path: "^src/", pathNot: rooms },
  to: { path: `(^|/)node_modules/${pkg}(/|$)` },
});
module.exports = {
  forbidden: [
    ...upward,
    {
      name: "no-cycles",
      severity: "error",
      from: {},
      to: { circular: true, viaOnly: { dependencyTypesNot: ["type-only"] } },
    },
    {
      name: "rules-judge-facts",
      comment: "rules do not compute",
      severity: "error",
      from: { path: room("rules") },
      to: { path: room("physics") },
    },
    {
      name: "graph-knows-no-profile",
      severity: "error",
      from: { path: room("graph") },
      to: { path: room("profiles") },
    },
    {
      name: "core-is-pure",
      comment: "no HTTP, database, file system, clock or environment",
      severity: "error",
      from: { path: "^src/core/" },
      to: {
        path: [
          "^src/(service|store|http|cli|main|imports)/",
          "^(node:)?(fs|http|https|net|os|process|child_process|worker_threads|timers)(/|$)",
          "(^|/)node_modules/(fastify|pino|@fastify|pg|kysely|piscina|commander)(/|$)",
        ],
      },
    },
    {
      name: "imports-door",
      severity: "error",
      from: { path: "^src/imports/" },
      to: { path: "^src/", pathNot: ["^src/imports/", "^src/core/network/"] },
    },
    {
      name: "service-door",
      severity: "error",
      from: { path: "^src/service/" },
      to: { path: "^src/", pathNot: ["^src/service/", "^src/core/index\\.ts$"] },
    },
    {
      name: "store-door",
      severity: "error",
      from: { path: "^src/store/" },
      to: { path: "^src/", pathNot: ["^src/store/", "^src/service/"] },
    },
    {
      name: "http-door",
      severity: "error",
      from: { path: "^src/http/" },
      to: { path: "^src/", pathNot: ["^src/http/", "^src/service/", "^src/core/index\\.ts$"] },
    },
    {
      name: "cli-door",
      severity: "error",
      from: { path: "^src/cli/" },
      to: { path: "^src/", pathNot: ["^src/cli/", "^src/imports/", "^src/service/", "^src/core/index\\.ts$"] },
    },
    {
      name: "main-is-the-top",
      severity: "error",
      from: { path: "^src/", pathNot: "^src/main/" },
      to: { path: "^src/main/" },
    },
    only("zod", ["^src/core/network/", "^src/core/audit/", "^src/imports/", "^src/http/"]),
    only("graphology[^/]*", ["^src/core/graph/"]),
    only("(pg|kysely|pg-boss)", ["^src/store/"]),
    only("prom-client", ["^src/http/", "^src/main/"]),
    { name: "no-tests-in-src", severity: "error", from: { path: "^src/" }, to: { path: "^tests/" } },
    { name: "not-unresolvable", severity: "error", from: {}, to: { couldNotResolve: true } },
    {
      name: "no-dev-dependency",
      severity: "error",
      from: { path: "^src/" },
      to: { dependencyTypes: ["npm-dev", "npm-no-pkg", "npm-unknown"] },
    },
  ],
  options: {
    tsConfig: { fileName: "tsconfig.json" },
    tsPreCompilationDeps: true,
    doNotFollow: { path: "node_modules" },
    enhancedResolveOptions: { exportsFields: ["exports"], conditionNames: ["import", "node", "default", "types"] },
  },
};
