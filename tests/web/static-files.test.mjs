// Stylesheet, scripts and drawings as they travel: packed for who reads that, and not sent again
// as long as they are the same. Unpacked by Node's zlib.
import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { get } from "node:http";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { gunzipSync } from "node:zlib";
import { Department, root } from "./harness.mjs";

let department;
before(async () => { department = await new Department().fill().start(); });
after(() => department.finish());

const folder = join(root, "static");
const names = readdirSync(folder, { recursive: true }).filter((name) => /\.\w+$/.test(name));

/** Without a library that unpacks by itself. */
const ask = (name, headers = {}) => new Promise((done, failed) => {
	get(`${department.url}/static/${name}`, { headers }, (answer) => {
		const pieces = [];
		answer.on("data", (piece) => pieces.push(piece));
		answer.on("end", () => done({ status: answer.statusCode, headers: answer.headers, bytes: Buffer.concat(pieces) }));
	}).on("error", failed);
});

test("each file, packed and not, is the file", async () => {
	assert.ok(names.length > 25, String(names.length));
	let all = 0, sent = 0;
	for (const name of names) {
		const file = readFileSync(join(folder, name)), plain = await ask(name), packed = await ask(name, { "accept-encoding": "gzip, deflate, br" });
		assert.deepEqual(plain.bytes, file, name);
		assert.equal(plain.headers["content-encoding"], undefined);
		assert.equal(packed.headers["content-encoding"], "gzip", name);
		assert.deepEqual(gunzipSync(packed.bytes), file, name);
		assert.equal(packed.headers["content-type"], plain.headers["content-type"]);
		assert.equal(plain.headers.vary, "Accept-Encoding");
		assert.equal(packed.headers.vary, "Accept-Encoding");
		all += file.length;
		sent += packed.bytes.length;
	}
	console.log(`${names.length} files: ${all} bytes, ${sent} packed`);
	assert.ok(sent < all / 2);
});

test("who refuses the packed one is sent the other", async () => {
	for (const refusal of ["gzip;q=0", "identity", "br, *;q=0", ""])
		assert.equal((await ask("pegwarden.css", { "accept-encoding": refusal })).headers["content-encoding"], undefined, refusal);
});

test("what is the same is not sent again, and the two codings are told apart", async () => {
	const gzip = { "accept-encoding": "gzip" }, tags = new Set();
	for (const headers of [{}, gzip]) {
		const { etag } = (await ask("pegwarden.css", headers)).headers;
		const again = await ask("pegwarden.css", { ...headers, "if-none-match": etag });
		assert.deepEqual([again.status, again.bytes.length, again.headers.etag], [304, 0, etag]);
		tags.add(etag);
	}
	assert.equal(tags.size, 2);
	const [plain] = tags;
	assert.equal((await ask("pegwarden.css", { ...gzip, "if-none-match": plain })).status, 200);
});

test("what is not there is said to be so", async () => {
	for (const name of ["nothing.css", "..%2Fconfigure.ac", "figures"]) assert.equal((await ask(name)).status, name.includes("%") ? 400 : 404, name);
});
