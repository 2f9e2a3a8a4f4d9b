// Who is let in, and what it costs the service until then: uploads are taken into memory
// only from those who may give them.
import assert from "node:assert/strict";
import { connect } from "node:net";
import { after, before, describe, test } from "node:test";
import { Department } from "./harness.mjs";

let department, token = {};
before(async () => {
	department = new Department().fill();
	for (const [role, badge] of [["officer", "2003"], ["member", "2002"]]) token[role] = department.token(badge);
	await department.start();
});
after(async () => {
	await department.stop();
	department.remove();
});

const longest = 64 * 1024 * 1024;
/** The head of an upload and nothing of its body; `answer` is what comes back, `sent` that it was taken. */
function beginUpload({ by, length = longest, accept = "application/json" }) {
	const { hostname, port } = new URL(department.url);
	const socket = connect(Number(port), hostname);
	const head = ["POST /imports HTTP/1.1", "Host: x", `Accept: ${accept}`, "Content-Type: multipart/form-data; boundary=b",
		`Content-Length: ${length}`, "Expect: 100-continue", ...(by ? [`Authorization: Bearer ${token[by]}`] : [])];
	socket.write(head.join("\r\n") + "\r\n\r\n");
	const first = new Promise((done, failed) => {
		let text = "";
		socket.on("data", (chunk) => {
			text += chunk;
			if (text.includes("\r\n\r\n")) done(text);
		});
		socket.on("error", failed);
		socket.on("close", () => done(text));
	});
	return { socket, first };
}

describe("an upload", () => {
	test("from nobody is refused before its body", async () => {
		const { socket, first } = beginUpload({});
		assert.match(await first, /^HTTP\/1\.1 401 /);
		socket.destroy();
	});
	test("from somebody who may not is refused before its body", async () => {
		const { socket, first } = beginUpload({ by: "member" });
		assert.match(await first, /^HTTP\/1\.1 403 /);
		socket.destroy();
	});
	test("from a browser that sends on is heard out and told why", async () => {
		const { socket, first } = beginUpload({ length: 4_000_000, accept: "text/html" });
		assert.match(await first, /^HTTP\/1\.1 100 /);
		const answer = new Promise((done) => socket.on("data", (chunk) => done(String(chunk))));
		socket.write(Buffer.alloc(4_000_000, "x"));
		assert.match(await answer, /^HTTP\/1\.1 (303|401) /);
		socket.destroy();
	});
	test("beyond what memory is set aside for has to wait, and then has its turn", async () => {
		const held = [beginUpload({ by: "officer" }), beginUpload({ by: "officer" })];
		for (const { first } of held) assert.match(await first, /^HTTP\/1\.1 100 /);
		const third = beginUpload({ by: "officer" });
		const refused = await third.first;
		assert.match(refused, /^HTTP\/1\.1 503 /);
		assert.match(refused, /^Retry-After: \d+\r$/m);
		third.socket.destroy();
		// Others are served meanwhile.
		assert.equal((await department.json("/stations", { token: token.officer })).status, 200);
		held[0].socket.destroy();
		let status;
		do {
			const next = beginUpload({ by: "officer" });
			[, status] = (await next.first).match(/^HTTP\/1\.1 (\d+) /);
			next.socket.destroy();
		} while (status === "503");
		assert.equal(status, "100");
		held[1].socket.destroy();
	});
});
