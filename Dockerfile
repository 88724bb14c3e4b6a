# Builds with the whole tool chain, runs with what the service needs and as nobody in particular.
FROM node:20-slim AS build
WORKDIR /build
COPY package.json package-lock.json .npmrc ./
RUN npm ci
COPY tsconfig.json tsconfig.build.json ./
COPY src ./src
RUN npm run build && npm prune --omit=dev

FROM node:20-slim
ENV NODE_ENV=production HOST=0.0.0.0 PORT=8080
WORKDIR /app
COPY --from=build /build/package.json ./
COPY --from=build /build/node_modules ./node_modules
COPY --from=build /build/dist ./dist
USER node
EXPOSE 8080
HEALTHCHECK --interval=10s --timeout=3s --start-period=10s --retries=3 \
  CMD ["node", "-e", "fetch(`http://127.0.0.1:${process.env.PORT}/readyz`).then((answer) => process.exit(answer.ok ? 0 : 1), () => process.exit(1))"]
# node is the first process, so that a stop reaches it and what is on its way is finished
STOPSIGNAL SIGTERM
CMD ["node", "dist/main/server.js"]
