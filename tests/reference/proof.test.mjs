// The tree over the audit entries and its signed checkpoints, against node:crypto and the
// definitions themselves: RFC 6962, 2.1, and C2SP signed-note and tlog-checkpoint.
import assert from "node:assert/strict";
import { createHash, createPrivateKey, createPublicKey, randomBytes, sign, verify } from "node:crypto";
import { test } from "node:test";
import { ask, dice } from "./peers.mjs";

const sha256 = (...parts) => parts.reduce((hash, part) => hash.update(part), createHash("sha256")).digest();

// MTH of RFC 6962, word for word: split at the largest power of two below n. Whole subtrees are
// remembered, or 4,000 trees would take minutes.
const known = new Map();
const leaf = (n) => sha256(Buffer.from([0]), String(n));
function root(from, count) {
	if (count === 0) return sha256("");
	const name = from * 65536 + count;
	if (known.has(name)) return known.get(name);
	let k = 1;
	while (k * 2 < count) k *= 2;
	const hash = count === 1 ? leaf(from) : sha256(Buffer.from([1]), root(from, k), root(from + k, count - k));
	if ((count & (count - 1)) === 0) known.set(name, hash);
	return hash;
}

test("the roots of 4,000 trees of random sizes", () => {
	const roll = dice(6962), sizes = [];
	for (let i = 0; i < 40; i++) for (const size of [i, 2 ** (i % 14), 2 ** (i % 14) + 1]) sizes.push([Math.min(i, size), Math.max(i, size)]);
	while (sizes.length < 2000) {
		const first = roll(6000);
		sizes.push([first, first + roll(3000)]);
	}
	const answers = ask("proof_probe", sizes.map((pair) => pair.join(" ") + "\n").join(""), "tree").trim().split("\n");
	assert.equal(answers.length, sizes.length);
	for (const [i, pair] of sizes.entries())
		assert.equal(answers[i], pair.map((n) => root(0, n).toString("hex")).join(" "), pair.join(" "));
});

function keyOf(seed) {
	const secret = createPrivateKey({ key: Buffer.concat([Buffer.from("302e020100300506032b657004220420", "hex"), seed]), format: "der", type: "pkcs8" });
	const open = createPublicKey(secret), raw = open.export({ format: "der", type: "spki" }).subarray(-32);
	return { seed, secret, open, raw, name: `pegwarden/${sha256(raw).toString("hex").slice(0, 16)}` };
}
const keyId = (name, raw) => sha256(`${name}\n`, Buffer.from([1]), raw).subarray(0, 4);
const signature = (key, text, name = key.name) =>
	`— ${name} ${Buffer.concat([keyId(name, key.raw), sign(null, Buffer.from(text), key.secret)]).toString("base64")}\n`;
const read = (key, note) => ask("proof_probe", note, "read", key.raw.toString("hex")).trim();

test("200 checkpoints we write hold for node:crypto", () => {
	const roll = dice(8032);
	for (let i = 0; i < 10; i++) {
		const key = keyOf(randomBytes(32));
		const wanted = Array.from({ length: 20 }, () => ({ size: roll(2 ** 31), root: randomBytes(32) }));
		const text = ask("proof_probe", wanted.map((w) => `${w.size} ${w.root.toString("hex")}\n`).join(""), "write", key.seed.toString("hex"));
		const notes = text.match(/[^]*?\n\n— .*\n/g);
		assert.equal(notes.length, wanted.length);
		for (const [n, note] of notes.entries()) {
			const [body, last] = note.split("\n\n");
			assert.deepEqual(body.split("\n"), [key.name, String(wanted[n].size), wanted[n].root.toString("base64")]);
			const [dash, name, code] = last.trimEnd().split(" ");
			const bytes = Buffer.from(code, "base64");
			assert.deepEqual([dash, name, bytes.length], ["—", key.name, 68]);
			assert.ok(bytes.subarray(0, 4).equals(keyId(name, key.raw)));
			assert.ok(verify(null, Buffer.from(body + "\n"), key.open, bytes.subarray(4)));
		}
	}
});

test("what node:crypto signs, we read; what is not so signed, we refuse", () => {
	const key = keyOf(randomBytes(32)), other = keyOf(randomBytes(32)), hash = randomBytes(32);
	const body = `${key.name}\n417\n${hash.toString("base64")}\n`, wanted = `417 ${hash.toString("hex")}`;
	const ours = signature(key, body), theirs = signature(other, body, "witness.example/w");
	const good = [body + "\n" + ours, body + "\n" + theirs + ours, body + "\n" + ours + theirs.repeat(15),
		body + "\n" + signature(other, body, key.name) + ours]; // the same name, another key: passed over
	for (const note of good) assert.equal(read(key, note), wanted, note);
	const longer = `${body}an extension\n`;
	assert.equal(read(key, longer + "\n" + signature(key, longer)), wanted);
	const bad = [body + "\n" + theirs, body + "\n" + signature(key, longer), body + ours, `${body}\n${ours}\n`, `${body}\n${ours.trimEnd()}`,
		`\n${body}\n${ours}`, (body + "\n" + ours).replaceAll("\n", "\r\n"), body + "\n" + ours.replace("—", "-"),
		body + "\n" + ours + signature(key, longer), // one of ours that does not hold spoils the whole
		body.replace("417", "418") + "\n" + ours];
	for (const note of bad) assert.equal(read(key, note), "refused", note);
});
