// A network between browser and server that can be taken away, for everything in the browser at
// once, service workers too, and that leads to the server wherever it was started again.
import { connect, createServer } from "node:net";

export class Network {
	constructor(department) {
		Object.assign(this, { department, is: "there", sockets: new Set() });
	}
	async start() {
		this.server = createServer((client) => this.join(client));
		await new Promise((done) => this.server.listen(0, "127.0.0.1", done));
		this.url = `http://127.0.0.1:${this.server.address().port}`;
		return this;
	}
	join(client) {
		this.hold(client);
		if (this.is === "gone") client.destroy();
		if (this.is !== "there") return; // silent: taken, and never answered
		const server = this.hold(connect(Number(new URL(this.department.url).port), "127.0.0.1"));
		client.on("data", (bytes) => {
			if (this.refused?.test(bytes.toString("latin1", 0, 200))) client.destroy();
			else if (this.is !== "silent") server.write(bytes);
		});
		server.on("data", (bytes) => { if (this.is !== "silent" && !this.isDeaf) client.write(bytes); });
		client.on("close", () => server.destroy());
		server.on("close", () => client.destroy());
	}
	hold(socket) {
		this.sockets.add(socket);
		socket.on("error", () => {});
		socket.on("close", () => this.sockets.delete(socket));
		return socket;
	}
	/** "there", "gone" (refused at once) or "silent" (nothing ever comes back). */
	set(state) {
		this.is = state;
		this.isDeaf = false;
		this.refused = null;
		for (const socket of state === "silent" ? [] : this.sockets) socket.destroy();
	}
	/** What is sent arrives; no answer comes back. */
	deafen() { this.isDeaf = true; }
	/** Requests whose first line is of this kind do not come through. */
	refuse(kind) { this.refused = kind; }
	stop() {
		this.set("gone");
		this.server.close();
	}
}
