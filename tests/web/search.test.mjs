// The one search box: what it finds, for whom, and from the keyboard alone.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { browser, root, signIn } from "./harness.mjs";
import { idOf, staffed } from "./inspecting.mjs";
import { Database } from "./sqlite.mjs";

let department, member, inspector, officer, notice;
before(async () => {
	({ department, member, inspector, officer } = await staffed());
});
after(() => department?.finish());

const find = async (client, text) => (await client.get(`/search?q=${encodeURIComponent(text)}`)).results;
const found = async (client, text) => (await find(client, text)).map(({ kind, url }) => `${kind} ${url}`);

test("safety notices are found by number, title, issuer and every maker they name", async () => {
	notice = await officer.post("/safety-notices", { issuer: "Nordhjelm Certification", issued_on: "2026-01-05", title: "Brittle buckles", wrong: "x", action: "inform", maker: "Ostrow Works" });
	const row = (await member.get(notice)).notice, itself = [`safety_notice ${notice}`];
	await officer.post(`${notice}/scopes`, { maker: "Tallis and Daughters" }, row.version);
	for (const text of [row.number, row.number.toLowerCase(), "brittle", "BUCK", "nordhjelm cert", "ostrow", "tallis buckles"])
		assert.deepEqual(await found(member, text), itself, text);
	const [{ label, kind_label, detail }] = await find(member, "brittle");
	assert.deepEqual([label, kind_label, detail], [`${row.number}: Brittle buckles`, "Safety notice", "Nordhjelm Certification, open"]);
	await officer.post(notice, { title: "Loose rivets" }, (await member.get(notice)).version);
	assert.deepEqual(await found(member, "brittle"), []);
	assert.deepEqual(await found(member, "rivets"), itself);
});

test("holds are found by their incident, by those who may see them", async () => {
	const component = [await idOf(inspector, "PX-GLOVES"), await idOf(inspector, "PX-HOOD")];
	await inspector.post("/holds", { component, incident: "Collapse at quay seven", kept_where: "Locker", container: "paper" });
	const holds = await find(inspector, "quay");
	assert.deepEqual(holds.map((row) => row.kind), ["hold", "hold"]);
	assert.deepEqual(new Set(holds.map((row) => row.detail)), new Set(["Gloves (pair) PX-GLOVES, held", "Hood PX-HOOD, held"]));
	for (const { url, label } of holds) assert.equal((await inspector.get(url)).hold.incident, label);
	assert.deepEqual(await find(member, "quay"), []);
	assert.equal((await member.get("/search?q=quay")).total, 0);
	const [{ url }] = holds;
	await officer.post(`${url}/release`, { authority: "Fire marshal", reason: "Closed" }, (await officer.get(url)).version);
	assert.match((await find(officer, "collapse")).find((row) => row.url === url).detail, /, released$/);
});

test("each kind of what is found leads to its page", async () => {
	for (const [text, kind] of [["okafor", "member"], ["airfield", "station"], ["SX-1", "ensemble"], ["SN-PX-hel", "component"]]) {
		const row = (await find(officer, text)).find((one) => one.kind === kind);
		await officer.get(row.url);
	}
});

test("from the keyboard alone: typed, found, opened", async () => {
	const page = await (await browser()).newPage();
	await signIn(page, department, "2001");
	await page.focus("#find");
	await page.keyboard.type("o");
	await page.keyboard.press("Enter");
	await page.waitForURL(/search\?q=o$/);
	// Past the box and its button, or by the link that skips them.
	const focused = () => page.evaluate(() => [document.activeElement.className, document.activeElement.getAttribute("href")]);
	await page.keyboard.press("Tab");
	assert.deepEqual(await focused(), ["skip", "#main"]);
	await page.keyboard.press("Enter");
	for (const name of ["q", "Find"]) { // the page's own box, for the next code
		await page.keyboard.press("Tab");
		assert.equal(await page.evaluate(() => document.activeElement.name || document.activeElement.textContent), name);
	}
	const results = await page.$$eval(".rows a", (links) => links.map((link) => link.getAttribute("href")));
	assert.ok(results.includes(notice) && results.length > 1);
	for (const href of results) {
		await page.keyboard.press("Tab");
		assert.deepEqual(await focused(), ["row", href], "in the order in which they are read");
	}
	await page.keyboard.press("Enter");
	await page.waitForURL((url) => url.pathname === results.at(-1));
	await page.close();
});

test("what was on record before the box knew of it is found too", async () => {
	await department.stop();
	const of = "WHERE kind IN ('safety_notice', 'hold')", rows = () => Database.rows(department.data, `SELECT rowid, text, kind, record_id FROM search ${of} ORDER BY 1`);
	const kept = rows(), migration = readFileSync(join(root, "migrations/0021-held-and-found.sql"), "utf8");
	assert.equal(kept.length, 3);
	const put = migration.match(/INSERT INTO search [^;]*;/g).join("\n");
	execFileSync("sqlite3", [join(department.data, "pegwarden.db"), `DELETE FROM search ${of}; ${put}`]);
	assert.deepEqual(rows(), kept);
	await department.start();
});
