// What clients must not get away with: over every route, by every role, and
// below HTTP. Nothing of it may store anything.
import assert from "node:assert/strict";
import { connect } from "node:net";
import { after, before, describe, test } from "node:test";
import { Database } from "./sqlite.mjs";
import { Department, password, run } from "./harness.mjs";

const roles = ["nobody", "member", "inspector", "officer", "administrator"];
const badge = { member: "2002", inspector: "2001", officer: "2003", administrator: "1001" };
const routes = run(["routes"]).trim().split("\n").map((line) => {
	const [, method, pattern, role] = line.match(/^(\S+)\s+(\S+)\s+(\S+)/);
	return { method, pattern, role };
});
const concrete = (pattern, id = "1") => pattern.replaceAll(":id", id).replaceAll(":word", "x");

let department, token = {};
before(async () => {
	department = new Department().fill();
	for (const role of roles.slice(1)) token[role] = department.token(badge[role]);
	await department.start();
});
after(async () => {
	await department.stop();
	department.remove();
});

const entries = () => Database.count(department.data, "audit_entry");
const problem = (answer, statuses, what) => {
	assert.ok([].concat(statuses).includes(answer.status), `${what}: ${answer.status} ${answer.text.slice(0, 200)}`);
	assert.match(answer.headers.get("content-type"), /^application\/problem\+json/, what);
	assert.ok(answer.doc.title && answer.doc.detail && answer.doc.status === answer.status, what);
};

describe("the access matrix: every route, every role", () => {
	for (const route of routes)
		for (const role of roles) {
			if (roles.indexOf(role) >= roles.indexOf(route.role)) continue;
			test(`${route.method} ${route.pattern} by ${role}`, async () => {
				const before = entries();
				const answer = await department.json(concrete(route.pattern), { token: token[role], method: route.method,
					body: route.method === "POST" ? {} : undefined });
				problem(answer, role === "nobody" ? 401 : 403, route.pattern);
				assert.equal(entries(), before);
			});
		}
});

describe("every change", () => {
	for (const route of routes.filter((r) => r.method === "POST" && r.role !== "nobody")) {
		const by = () => token[route.role === "member" ? "inspector" : "administrator"];
		const send = (options) => department.json(concrete(route.pattern), { token: by(), method: "POST", ...options });
		const refuse = (name, options, statuses) => test(`${route.pattern}: ${name}`, async () => {
			const before = entries();
			problem(await send(options), statuses, name);
			assert.equal(entries(), before);
		});
		refuse("an unknown field", { body: { no_such_field: "x" } }, [404, 409, 422]);
		refuse("JSON that is cut", { body: '{"a":' }, 400);
		refuse("a member twice", { body: '{"a":1,"a":2}' }, 400);
		refuse("a list instead of an object", { body: "[]" }, 400);
		refuse("deep nesting", { body: '{"a":'.repeat(30) + "1" + "}".repeat(30) }, 400);
		refuse("another content type", { body: "x", headers: { "content-type": "text/plain" } }, 415);
		refuse("a broken escape in a form", { body: "a=%zz", headers: { "content-type": "application/x-www-form-urlencoded" } }, 400);
		refuse("too large a body", { body: JSON.stringify({ a: "x".repeat(70000) }) }, 413);
		test(`${route.pattern}: a session without its form token`, async () => {
			const signed = await fetch(department.url + "/sign-in", { method: "POST", redirect: "manual",
				headers: { "content-type": "application/x-www-form-urlencoded", accept: "application/json" },
				body: new URLSearchParams({ badge: "1001", password }) });
			const cookie = signed.headers.get("set-cookie").split(";")[0];
			for (const body of ["a=1", "_token=wrong&a=1"]) {
				const before = entries();
				const answer = await department.json(concrete(route.pattern), { body,
					headers: { cookie, "content-type": "application/x-www-form-urlencoded" } });
				problem(answer, 403, body);
				assert.equal(entries(), before);
			}
		});
	}
});

describe("fields", () => {
	const station = { code: "ST9", name: "Test" };
	const cases = [
		["missing", { name: "x" }, "code"], ["empty", { code: "", name: "x" }, "code"],
		["too long", { ...station, code: "x".repeat(13) }, "code"], ["wrong type", { ...station, name: 7 }, "name"],
		["a control character", { ...station, name: "a\u0007b" }, "name"], ["no mail address", { ...station, email: "nobody" }, "email"],
		["text for yes and no", { ...station, active: "maybe" }, "active"], ["a space in a tag", { ...station, code: "A B" }, "code"],
		["an object", { ...station, name: {} }, "name"], ["a list for one value", { ...station, name: ["a", "b"] }, "name"],
	];
	for (const [name, body, field] of cases)
		test(name, async () => {
			const before = entries();
			const answer = await department.json("/stations", { token: token.officer, body });
			problem(answer, 422, name);
			assert.ok(answer.doc.errors.some((error) => error.field === field), JSON.stringify(answer.doc.errors));
			assert.equal(entries(), before);
		});
	const component = { tag: "T-1", kind: "hood", hazard: "structural", station: 2 };
	for (const [name, change, field] of [["no such kind", { kind: "boot" }, "kind"], ["no such day", { in_service_on: "2026-02-30" }, "in_service_on"],
		["a day that is not ISO", { in_service_on: "3/4/2021" }, "in_service_on"], ["no such month", { made: "2019-13" }, "made"],
		["no such station", { station: 999 }, "station"], ["no such ensemble", { ensemble: "NONE" }, "ensemble"],
		["negative money", { cost: "-1" }, "cost"], ["money with three decimals", { cost: "1.234" }, "cost"], ["a tag in use", { tag: "PX-HOOD" }, "tag"]])
		test(`component: ${name}`, async () => {
			const before = entries();
			const answer = await department.json("/components", { token: token.officer, body: { ...component, ...change } });
			problem(answer, 422, name);
			assert.ok(answer.doc.errors.some((error) => error.field === field), JSON.stringify(answer.doc.errors));
			assert.equal(entries(), before);
		});
	test("broken UTF-8 in a form", async () => {
		const answer = await department.json("/stations", { token: token.officer, body: "code=ST9&name=%ff%fe",
			headers: { "content-type": "application/x-www-form-urlencoded" } });
		problem(answer, 422, "UTF-8");
	});
});

describe("versions and repetition", () => {
	test("a change must say what it saw", async () => {
		problem(await department.json("/stations/2", { token: token.officer, body: { name: "New" } }), 428, "428");
	});
	test("a stale change is refused", async () => {
		problem(await department.json("/stations/2", { token: token.officer, body: { name: "New" }, headers: { "if-match": '"77"' } }), 412, "412");
	});
	test("the same key and request gets the first answer", async () => {
		const options = { token: token.officer, body: { code: "ST7", name: "Seven" }, headers: { "idempotency-key": "k1" } };
		const first = await department.json("/stations", options), count = entries();
		const second = await department.json("/stations", options);
		assert.equal(first.status, 201);
		assert.deepEqual([second.status, second.doc], [first.status, first.doc]);
		assert.equal(entries(), count);
	});
	test("the same key with another request is refused", async () => {
		problem(await department.json("/stations", { token: token.officer, body: { code: "ST8", name: "x" }, headers: { "idempotency-key": "k1" } }), 422, "key");
	});
	test("a form that fails comes back with everything typed, escaped", async () => {
		const script = "<script>alert(1)</script>";
		const answer = await department.json("/stations", { token: token.officer, body: new URLSearchParams({ code: "way too long a code", name: script }).toString(),
			headers: { accept: "text/html", "content-type": "application/x-www-form-urlencoded" } });
		assert.equal(answer.status, 422);
		assert.ok(answer.text.includes("way too long a code"));
		assert.ok(answer.text.includes("&lt;script&gt;alert(1)&lt;/script&gt;"));
		assert.ok(!answer.text.includes(script));
	});
	test("a page that only says what is wrong leads back to where one was", async () => {
		const page = async (path, referer) => {
			const answer = await department.json(path, { token: token.member, headers: { accept: "text/html", ...(referer && { referer }) } });
			return { ...answer, main: answer.text.slice(answer.text.indexOf("<main")) };
		};
		const back = 'href="/components?state=held&amp;page=1">Back to where you were</a>';
		const missing = await page("/components/999999", `${department.url}/components?state=held&page=1`);
		assert.equal(missing.status, 404);
		assert.equal(missing.text.match(/Not found/g).length, 2, "in the title and the headline, and no third time");
		assert.match(missing.main, /There is no part 999999\./);
		assert.match(missing.main, /Scan the tag/);
		assert.ok(missing.main.includes(back));
		const denied = await page("/accounts", `${department.url}/components?state=held&page=1`);
		assert.equal(denied.status, 403);
		assert.ok(denied.main.includes(back) && !denied.main.includes("Scan the tag"));
		// Nowhere else: not to itself, not to what is no page here, not to another server.
		for (const from of [undefined, `${department.url}/components/999999`, `${department.url}/nowhere`, "https://example.org//example.net/"])
			assert.ok(!(await page("/components/999999", from)).main.includes("Back to where"), from);
	});
	test("a script in every text field is stored and shown as text", async () => {
		const script = "<script>alert(1)</script>";
		const made = await department.json("/components", { token: token.officer, body: { tag: "XSS-1", kind: "hood", hazard: "structural", station: 2,
			serial: script, maker: script, model: script, size: script, note: script } });
		assert.equal(made.status, 201, made.text);
		for (const path of [made.headers.get("location"), made.headers.get("location") + "/record", "/components?q=XSS-1", "/search?q=XSS"]) {
			const page = await department.json(path, { token: token.officer, headers: { accept: "text/html" } });
			assert.ok(!page.text.includes(script), path);
		}
	});
});

describe("paths and framing", () => {
	for (const path of ["/stations/../members", "/%2e%2e/etc/passwd", "/stations%2f1", "/stations/%00", "/stations/1/", "/static/../src/main.c",
		"/stations/%ff", "/stations/0", "/stations/-1", "/stations/99999999999999999999", "/stations/1%0a", "//stations", "/static/%2e%2e%2fsrc", "/stations?x=1", "/stations?q=%zz", "/stations?sort=none", "/components?page=0"])
		test(path, async () => {
			const text = await raw(`GET ${path} HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer ${token.officer}\r\nConnection: close\r\n\r\n`);
			assert.match(text, /^HTTP\/1\.1 4\d\d /);
		});
	const body = "code=ST66&name=x";
	const form = `POST /stations HTTP/1.1\r\nAuthorization: Bearer TOKEN\r\nContent-Type: application/x-www-form-urlencoded\r\n`;
	for (const [name, head] of [
		["two lengths", `${form}Host: x\r\nContent-Length: 16\r\nContent-Length: 3\r\n\r\n${body}`],
		["a length and chunks", `${form}Host: x\r\nContent-Length: 16\r\nTransfer-Encoding: chunked\r\n\r\n${body}`],
		["chunks", `${form}Host: x\r\nTransfer-Encoding: chunked\r\n\r\n10\r\n${body}\r\n0\r\n\r\n`],
		["two hosts", `${form}Host: x\r\nHost: y\r\nContent-Length: 16\r\n\r\n${body}`],
		["no host", `${form}Content-Length: 16\r\n\r\n${body}`],
		["no length", `${form}Host: x\r\n\r\n`],
		["a header name with a space", `${form}Host: x\r\nContent Length: 16\r\n\r\n${body}`],
		["a negative length", `${form}Host: x\r\nContent-Length: -1\r\n\r\n${body}`],
		["two kinds of credentials", `${form}Host: x\r\nAuthorization: Bearer x\r\nContent-Length: 16\r\n\r\n${body}`]])
		test(name, async () => {
			const before = entries();
			const text = await raw(head.replace("TOKEN", token.officer));
			// Every status line is a refusal (the library writes its own one twice), and the connection ends.
			for (const [line] of text.matchAll(/^HTTP\/1\.1 .*$/gm)) assert.match(line, /^HTTP\/1\.1 4\d\d /);
			assert.equal(entries(), before);
		});
});

/** Sends bytes and gives back everything until the connection ends. */
function raw(bytes) {
	return new Promise((done, failed) => {
		const { hostname, port } = new URL(department.url);
		const socket = connect(Number(port), hostname, () => socket.end(bytes));
		let text = "";
		socket.on("data", (chunk) => { text += chunk; });
		socket.on("close", () => done(text));
		socket.on("error", (error) => (error.code === "ECONNRESET" ? done(text) : failed(error)));
	});
}
