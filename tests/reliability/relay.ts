import { once } from "node:events";
import { type AddressInfo, connect, createServer, type Socket } from "node:net";

/** What is done with the bytes of one connection; without `fromServer` they are handed on as they come. */
export interface Handling {
  readonly fromClient: (bytes: Buffer) => void;
  readonly fromServer?: (bytes: Buffer) => void;
}

/**
 * Stands between a program and its database.
 * @param to address of the database
 * @param handle called for each connection of the program
 */
export const relay = async (to: string, handle: (client: Socket, onward: Socket) => Handling) => {
  const { hostname, port } = new URL(to);
  const sockets = new Set<Socket>();
  let refuses = false;
  const server = createServer((client) => {
    if (refuses) {
      client.resetAndDestroy();
      return;
    }
    const onward = connect(Number(port), hostname);
    for (const socket of [client, onward]) {
      sockets.add(socket);
      socket.on("error", () => {});
      socket.on("close", () => {
        sockets.delete(socket);
        client.destroy();
        onward.destroy();
      });
    }
    const { fromClient, fromServer = (bytes: Buffer) => client.write(bytes) } = handle(client, onward);
    client.on("data", fromClient);
    onward.on("data", fromServer);
  });
  server.listen(0, "127.0.0.1");
  await once(server, "listening");
  const own = new URL(to);
  own.port = String((server.address() as AddressInfo).port);
  return {
    url: own.href,
    refuse() {
      refuses = true;
      for (const socket of sockets) socket.resetAndDestroy();
    },
    accept() {
      refuses = false;
    },
    close() {
      server.close();
      for (const socket of sockets) socket.destroy();
    },
  };
};
