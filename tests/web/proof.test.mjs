// Checkpoints: what was stated once is found again, or it is told that it is gone, also when
// whoever changed the past had the key and signed everything anew.
import assert from "node:assert/strict";
import { cpSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { execFileSync } from "node:child_process";
import { Database } from "./sqlite.mjs";
import { Department, attempt, run } from "./harness.mjs";

let department, token;
before(() => {
	department = new Department();
	assert.equal(department.import("stations", "code,name\nST1,Airfield\n").code, 0);
	token = department.token("1001");
});
after(() => department.remove());

const file = (name, text) => {
	const path = join(department.folder, name);
	writeFileSync(path, text);
	return path;
};
const copy = (name) => {
	const data = join(department.folder, name);
	cpSync(department.data, data, { recursive: true });
	return data;
};
const record = (data, code) => run(["import", "--data", data, "--kind", "stations", file(`${code}.csv`, `code,name\n${code},${code}\n`)]);
const checkpoint = (data = department.data) => run(["checkpoint", "--data", data]);
const verify = (data, ...files) => attempt(["verify", "--data", data, ...files.flatMap((path) => ["--checkpoint", path])]);
const size = (note) => Number(note.split("\n")[1]);

test("a record that went on contains what it stated", () => {
	const first = file("first", checkpoint()), before = size(checkpoint());
	assert.equal(before, Database.count(department.data, "audit_entry"));
	record(department.data, "ST2");
	const second = file("second", checkpoint());
	assert.equal(size(checkpoint()), before + 1);
	const answer = verify(department.data, first, second);
	assert.equal(answer.code, 0, answer.err);
	assert.match(answer.out, /contains what .*first stated[^]*contains what .*second stated/);
});

test("a copy put back, and another past, hold by themselves but not against a checkpoint", () => {
	const back = copy("back");
	record(department.data, "ST3");
	const stated = file("stated", checkpoint());
	assert.equal(verify(back).code, 0);
	let answer = verify(back, stated);
	assert.equal(answer.code, 3);
	assert.match(answer.err, /rolled back/);
	record(back, "ST4");
	record(back, "ST5");
	assert.equal(verify(back).code, 0, "with the key at hand the chain is whole");
	answer = verify(back, stated);
	assert.equal(answer.code, 3);
	assert.match(answer.err, /rewritten/);
});

test("entries taken from the end are missed, and nothing is recorded upon it", () => {
	const data = copy("shorter");
	const drop = (sql) => execFileSync("sqlite3", [join(data, "pegwarden.db"), sql]);
	drop("DELETE FROM audit_record WHERE seq = (SELECT max(seq) FROM audit_entry);"
		+ "DELETE FROM station WHERE code = 'ST3'; DELETE FROM audit_entry WHERE seq = (SELECT max(seq) FROM audit_entry)");
	const answer = verify(data);
	assert.equal(answer.code, 3);
	assert.match(answer.err, /removed or rewritten/);
	const more = attempt(["setting", "--data", data, "--name", "department", "--value", "Other"]);
	assert.equal(more.code, 1);
	assert.match(more.err, /nothing more is recorded/);
});

test("a record from before there was a tree takes its entries in", () => {
	const data = copy("older"), note = checkpoint(data);
	execFileSync("sqlite3", [join(data, "pegwarden.db"), "DROP TABLE audit_tree; DELETE FROM migration WHERE number = 3"]);
	record(data, "ST3"); // nothing new: it only opens
	assert.equal(checkpoint(data), note);
	assert.equal(verify(data).code, 0);
});

test("a file that is no checkpoint, or of another record, is refused with its name", () => {
	const other = new Department();
	for (const [name, text, reason] of [["prose", "Dear officer,\n", /no checkpoint of this record/], ["foreign", checkpoint(other.data), /no checkpoint of this record/],
		["changed", checkpoint().replace(/\n\d+\n/, "\n1\n"), /signature does not hold/], ["cut", checkpoint().slice(0, 80), /is no checkpoint/]]) {
		const answer = verify(department.data, file(name, text));
		assert.equal(answer.code, 1, name);
		assert.match(answer.err, reason);
		assert.ok(answer.err.includes(name));
	}
	assert.equal(verify(department.data, join(department.folder, "not there")).code, 1);
	other.remove();
});

test("pages show it, and the officer's mail carries it once a day", async () => {
	run(["setting", "--data", department.data, "--name", "officer_email", "--value", "officer@example.org"]);
	run(["notify", "--data", department.data]);
	run(["notify", "--data", department.data]);
	const mails = Database.rows(department.data, "SELECT recipient, body FROM mail WHERE subject LIKE '%checkpoint of%'");
	assert.deepEqual(mails.map((m) => m.recipient), ["officer@example.org"]);
	const saved = file("mail.txt", "From: gear@example.org\r\n\r\n" + mails[0].body.replaceAll("\n", "\r\n") + "\r\n-- \r\nregards\r\n");
	department.import("components", "tag,kind,hazard,station,made,in_service_on\nH-1,hood,structural,ST1,2024-02,2024-05-01\n");
	assert.equal(verify(department.data, saved).code, 0);

	await department.start();
	const now = checkpoint();
	for (const path of ["/audit", "/components/1/record"]) {
		const { doc } = await department.json(path, { token });
		assert.deepEqual(doc.checkpoint, { size: size(now), note: now }, path);
		const html = await department.json(path, { token, headers: { accept: "text/html" } });
		assert.ok(html.text.includes(now.trimEnd().split(" ").at(-1).slice(0, 20)), path);
	}
	assert.equal(verify(department.data, saved).code, 0, "while it is served");
	await department.stop();
});

test("an entry is signed in UTC; its page has the clock on the wall too", async () => {
	const zone = "Pacific/Auckland";
	run(["setting", "--data", department.data, "--name", "time_zone", "--value", zone]);
	await department.start();
	const { at } = (await department.json("/audit/1", { token })).doc.entry;
	assert.match(at, /T\d\d:\d\d:\d\dZ$/);
	const wall = new Intl.DateTimeFormat("sv-SE", { timeZone: zone, dateStyle: "short", timeStyle: "short" }).format(new Date(at));
	const page = async (path) => (await department.json(path, { token, headers: { accept: "text/html" } })).text;
	assert.ok((await page("/audit/1")).includes(`<dd>${wall} (${zone}), signed as <code>${at}</code></dd>`));
	assert.ok((await page("/audit")).includes(`>${wall}</td>`));
	assert.ok((await department.json("/audit.csv", { token })).text.includes(at));
	await department.stop();
});
