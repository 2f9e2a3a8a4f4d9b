// The server is ended in the midst of changes: what it answered for is there, and nothing is half there.
import { describe, test } from "node:test";
import assert from "node:assert/strict";
import { get } from "node:http";
import { connect } from "node:net";
import { Department, run } from "./harness.mjs";
import { Database } from "./sqlite.mjs";

const clients = 8, least = 40;

/** Changes without a pause until the server is gone; the reasons it answered for, and other answers. */
async function changeUntilGone(department, token, number, said) {
	for (let i = 0; ; i++) {
		const reason = `call ${number}-${i}`;
		said.sent.add(reason);
		let answer;
		try {
			answer = await department.json(`/components/${number + 1}/cleanings`, { token, headers: { "If-Match": '"1"' },
				body: { class: "advanced", reason, performed_by: "Ines Okafor" } });
		} catch { return; } // refused or cut off: nothing was promised
		if (answer.status < 300) said.promised.add(reason);
		else said.refused.push(answer.status);
		if (answer.status >= 300) return;
	}
}

for (const signal of ["SIGTERM", "SIGKILL"])
	describe(`ended by ${signal}`, () => {
		test("what was answered is there, the record holds", async () => {
			const department = new Department().fill(), token = department.token("2001");
			await department.start();
			const said = { sent: new Set(), promised: new Set(), refused: [] };
			const running = Array.from({ length: clients }, (_, i) => changeUntilGone(department, token, i, said));
			while (said.promised.size < least) await new Promise(setImmediate);
			const ended = await department.stop(signal);
			await Promise.all(running);
			if (signal === "SIGTERM") assert.deepEqual(ended, { code: 0, signal: null });
			for (const status of said.refused) assert.equal(status, 503);

			const stored = Database.rows(department.data, "SELECT reason FROM cleaning").map((row) => row.reason);
			assert.equal(new Set(stored).size, stored.length);
			for (const reason of said.promised) assert.ok(stored.includes(reason), `${reason} was promised`);
			for (const reason of stored) assert.ok(said.sent.has(reason));
			// A stop that has time finishes what it took: nothing is stored that was not answered for.
			if (signal === "SIGTERM") assert.equal(stored.length, said.promised.size);
			assert.match(run(["verify", "--data", department.data]), /holds/);
			assert.match(run(["rebuild", "--data", department.data]), /^0 components or members/);
			await department.start();
			assert.equal((await department.json("/components/1", { token })).status, 200);
			await department.stop();
			department.remove();
		});
	});

test("while it waits for what has begun, who comes anew is told that it stops", async () => {
	const department = await new Department().fill().start(), { hostname, port } = new URL(department.url);
	const begun = connect(Number(port), hostname), heard = new Promise((done) => begun.once("data", (bytes) => done(String(bytes))));
	begun.write("POST /sign-in HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 10\r\n\r\nbadge");
	/** On a connection of its own. */
	const ask = () => new Promise((done, failed) => get(`${department.url}/sign-in`, { agent: false }, (answer) => {
		answer.resume();
		answer.on("end", () => done(answer.statusCode));
	}).on("error", failed));
	assert.equal(await ask(), 200);
	const ended = department.stop();
	let status = 200;
	while (status === 200) status = await ask();
	assert.equal(status, 503);
	begun.write("=2001");
	assert.match(await heard, /^HTTP\/1\.1 \d{3} /, "what had begun is answered");
	begun.destroy();
	assert.deepEqual(await ended, { code: 0, signal: null });
	department.remove();
});
