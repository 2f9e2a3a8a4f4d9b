// Who is let in, and what it costs others until then: uploads are taken into memory only
// from those who may give them, and wrong passwords slow down whoever gives them.
import assert from "node:assert/strict";
import { connect } from "node:net";
import { after, before, describe, test } from "node:test";
import { Department, password, run } from "./harness.mjs";
import { Device, enrolled } from "./tablet.mjs";

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

describe("the secret of a tablet", () => {
	const routes = run(["routes"]).trim().split("\n").map((line) => line.match(/^(\S+)\s+(\S+)/).slice(1)).filter(([, pattern]) => pattern.startsWith("/tablet/people"));
	const ask = async (cookie, method = "GET", path = "/tablet/people/1") => (await department.json(path, { method, headers: cookie ? { cookie } : {}, body: method === "POST" ? { pin: "602214" } : undefined }));
	test("is asked for by the pages of its people, for every method, or they are not there", async () => {
		assert.equal(routes.length, 2);
		for (const [method, pattern] of routes)
			for (const cookie of [undefined, "pegwarden_tablet=", "pegwarden_tablet=x", `pegwarden_tablet=${"a".repeat(64)}`, `pegwarden_session=${"a".repeat(64)}`]) {
				const path = pattern.replace(":id", "1"), answer = await ask(cookie, method, path);
				assert.deepEqual([answer.status, answer.doc.detail], [404, "There is no page at this address."], `${method} ${cookie}`);
				assert.deepEqual(answer.doc, (await ask(cookie, method, "/tablet/none/1")).doc);
				const signed = await department.json(path, { token: token.officer, method, body: method === "POST" ? { pin: "602214" } : undefined });
				assert.equal(signed.status, 404, "nor by an API token");
			}
	});
	test("is one cookie among others, and no part of their values", async () => {
		const station = (await department.json("/stations", { token: token.officer })).doc.rows.find((row) => row.code === "ST1").id;
		const device = await enrolled(department, token.officer, station, "Bay 1"), own = `pegwarden_tablet=${device.cookies.get("pegwarden_tablet")}`;
		const people = (await department.json("/sign-in", { headers: { cookie: own } })).doc.people;
		assert.ok(people.length > 0);
		const path = `/tablet/people/${people[0].account}`;
		for (const [cookie, status] of [[own, 200], [`a=b; ${own}; c=d`, 200], [`__Host-${own}`, 200], [`a=${own}`, 404], [`x${own}`, 404], [own.toUpperCase(), 404], [own.slice(0, -1), 404]])
			assert.equal((await ask(cookie, "GET", path)).status, status, cookie);
		const away = new Device(department);
		assert.deepEqual((await away.ask("/sign-in", undefined, "application/json")).text.match(/"people":\[\]/)?.length, 1, "and without it nobody's name is said");
	});
});

describe("behind the proxy", () => {
	test("the secret of a tablet goes over TLS only", async () => {
		const other = new Department().fill(), officer = other.token("2003");
		await other.start(["--behind-tls"]);
		const made = await other.json("/tablets", { token: officer, body: { name: "Bay 1", station: 2 } });
		const device = new Device(other), [cookie] = (await device.enrol(made.doc.secret)).set;
		assert.match(cookie, /^__Host-pegwarden_tablet=[0-9a-f]{64}; Path=\/; HttpOnly; SameSite=Strict; Max-Age=34560000; Secure$/);
		await other.finish();
	});
});

describe("wrong passwords", () => {
	const attempt = async (badge, word, forwarded) => (await department.json("/sign-in", {
		body: { badge, password: word }, headers: forwarded ? { "x-forwarded-for": forwarded } : {} })).status;
	/** Guesses badges that there are not, so that only the address is slowed down. */
	const guess = async (forwarded) => {
		for (let i = 0; i < 6; i++) await attempt(`none-${i}`, "a wrong password", forwarded);
	};
	/** The first wait is one second, which a loaded machine may need for the guesses: then they are made again. */
	const waits = async (guessed, asked) => {
		for (let round = 0; round < 8; round++) {
			await guess(guessed);
			if (await attempt("2001", password, asked) === 429) return true;
		}
		return false;
	};
	const freshly = (name, extra, check) => test(name, async () => {
		const kept = department;
		department = new Department().fill();
		try {
			await department.start(extra);
			await check();
		} finally {
			await department.stop();
			department.remove();
			department = kept;
		}
	});
	freshly("are counted by the address of the connection; what it says of others is nothing", [], async () => {
		assert.ok(await waits("198.51.100.7", "198.51.100.8"));
	});
	freshly("behind the proxy are counted by the address it heard, and nobody else waits", ["--behind-tls"], async () => {
		assert.ok(await waits("203.0.113.9, 198.51.100.7", "198.51.100.7"));
		assert.ok(await waits("203.0.113.9, 198.51.100.7", "203.0.113.9,\t198.51.100.7 "));
		assert.equal(await attempt("2001", password, "198.51.100.7, 198.51.100.8"), 200);
		assert.equal(await attempt("2002", password, "2001:db8::1"), 200);
	});
	freshly("behind a proxy that says no address are counted by badge only", ["--behind-tls"], async () => {
		for (const nothing of [undefined, "unknown", "198.51.100.7:4711", "198.51.100.007", "198.51.100.7,", "198.51.100.7 x", "[2001:db8::1]"]) {
			await guess(nothing);
			assert.equal(await attempt("2001", password, nothing), 200, nothing);
		}
		let slowed = false;
		for (let round = 0; round < 8 && !slowed; round++) {
			for (let i = 0; i < 6; i++) await attempt("2003", "a wrong password");
			slowed = await attempt("2003", password) === 429;
		}
		assert.ok(slowed);
	});
});
