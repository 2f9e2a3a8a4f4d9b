// Nothing typed is lost: what is answered in an inspection is stored as it is given, and is kept
// on the tablet while the network is away, until it is in the record, each once and in order.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { after, before, beforeEach, describe, test } from "node:test";
import { browser, password, signIn } from "./harness.mjs";
import { begin, idOf, prepare, sign, staffed } from "./inspecting.mjs";
import { Network } from "./network.mjs";
import { Database } from "./sqlite.mjs";
import { enrolled, pin } from "./tablet.mjs";

let department, network, inspector, officer, chrome;
before(async () => {
	({ department, inspector, officer } = await staffed());
	network = await new Network(department).start();
	chrome = await browser();
});
after(async () => {
	await chrome?.close();
	network?.stop();
	await department?.finish();
});
beforeEach(() => network.set("there"));

// --- tablets and what they show --------------------------------------------------------------

/** A tablet with somebody signed in; errors of its scripts fail the test. */
async function tablet(badge = "2001", options = {}) {
	const context = await chrome.newContext({ viewport: { width: 800, height: 1280 }, ...options });
	const page = await openTab(context);
	if (badge) await signIn(page, network, badge);
	return page;
}
async function openTab(context) {
	const page = await context.newPage();
	page.setDefaultTimeout(60000); // a loaded machine is no fault of the page
	page.on("pageerror", (error) => { throw error; });
	return page;
}
/** The tab is killed and another one opened, on the same tablet. */
async function killed(page) {
	const context = page.context();
	await page.close({ runBeforeUnload: false });
	return openTab(context);
}
const stateIs = (page, state, words = /./) => page.waitForFunction(([state, words]) => {
	const place = document.querySelector("[data-keeping]");
	return place?.dataset.state === state && new RegExp(words).test(place.children[0].textContent);
}, [state, words.source]);
/** Until all pages of the inspection are kept. */
const kept = (page, id, count) => until(() => page.evaluate(async (id) => {
	const pages = await (await caches.open(`pages:${document.body.dataset.who}`)).keys();
	return pages.filter((one) => new URL(one.url).pathname.startsWith(`/inspections/${id}`)).length;
}, id), count);
const tap = (page, name, value) => page.check(`input[name="${name}"][value="${value}"]`);
const press = (page) => Promise.all([page.waitForEvent("load"), page.click("main form .actions button:not([name])")]);
const changesKept = (page) => page.evaluate(() => new Promise((done) => {
	indexedDB.open("pegwarden").onsuccess = (event) => {
		event.target.result.transaction("changes").objectStore("changes").getAll().onsuccess = (read) => done(read.target.result);
	};
}));
/** Pages that were kept give way to those of the server, so one may just be leaving. */
const nothingKept = (page) => until(() => changesKept(page).catch(() => "leaving"), []);

// --- inspections -------------------------------------------------------------------------------

/** A prepared inspection of these parts: its id, and for each part its path, groups and points. */
async function opened(...tags) {
	const id = await begin(inspector, "advanced", ...tags), parts = [];
	await prepare(inspector, id);
	for (const tag of tags) {
		const path = `/inspections/${id}/parts/${await idOf(inspector, tag)}`, groups = [];
		for (const { code } of (await inspector.get(path)).groups)
			groups.push({ at: `${path}?group=${code}`, points: (await inspector.get(`${path}?group=${code}`)).points.map((point) => point.code) });
		parts.push({ path, groups });
	}
	const pages = 1 + parts.reduce((sum, part) => sum + 2 + part.groups.length, 0);
	return { id, parts, pages };
}
const answersOf = async (at) => Object.fromEntries((await inspector.get(at)).points.map((point) => [point.code, point.answer]).filter(([, answer]) => answer));
const until = async (what, wanted) => {
	for (;;) {
		const is = await what();
		try { assert.deepEqual(is, wanted); return; } catch { if (Date.now() > deadline) assert.deepEqual(is, wanted); }
		await new Promise((done) => setTimeout(done, 50));
	}
};
let deadline;
beforeEach(() => { deadline = Date.now() + 60000; });
/** What was changed of an inspection since it was prepared: the action of each audit entry, in order. */
const entries = (id) => Database.rows(department.data, `SELECT DISTINCT a.seq, a.action FROM audit_entry a, json_each(a.records) r
	WHERE json_extract(r.value, '$.state.inspection_id') = ${id} AND a.action IN ('answer check points', 'write down finding', 'prepare inspection') ORDER BY a.seq`)
	.map((row) => row.action).slice(1);

// --- the network is there ---------------------------------------------------------------------------

describe("on line", () => {
	test("answers arrive without any button, those in quick succession together", async () => {
		const { id, parts: [{ groups: [first] }] } = await opened("PX-HOOD");
		const page = await tablet();
		await page.goto(network.url + first.at);
		await stateIs(page, "saved");
		for (const point of first.points.slice(0, 2)) await tap(page, point, "sound");
		await until(() => answersOf(first.at), Object.fromEntries(first.points.slice(0, 2).map((point) => [point, "sound"])));
		await stateIs(page, "saved", /^Saved$/);
		assert.deepEqual(entries(id), ["answer check points"]);
		await tap(page, first.points[2], "sound");
		await until(async () => entries(id).length, 2);
		assert.equal(page.url(), network.url + first.at, "nobody left the page");
		await press(page);
		assert.equal(entries(id).length, 2, "the button has nothing more to store");
		assert.equal(new URL(page.url()).search, new URL(network.url + (await inspector.get(`/inspections/${id}`)).inspection.next).search);
		await page.context().close();
	});
	test("the questions before the points too", async () => {
		const id = await begin(inspector, "advanced", "PX-GLOVES"), page = await tablet();
		await page.goto(`${network.url}/inspections/${id}/preparation`);
		const name = await page.getAttribute("main form input[type=radio]", "name");
		await tap(page, name, "yes");
		await until(async () => (await inspector.get(`/inspections/${id}`)).parts[0].clean, "yes");
		await stateIs(page, "saved");
		await page.context().close();
	});
	test("an answer that got lost on its way back is not given twice", async () => {
		const { id, parts: [{ groups: [first] }] } = await opened("PX-HELMET"), page = await tablet();
		await page.goto(network.url + first.at);
		await stateIs(page, "saved");
		network.deafen();
		await tap(page, first.points[0], "sound");
		await until(() => answersOf(first.at), { [first.points[0]]: "sound" });
		network.set("there");
		await stateIs(page, "saved");
		await nothingKept(page);
		assert.equal(entries(id).length, 1);
		await page.context().close();
	});
	test("without scripts the button stores, as ever", async () => {
		const { id, parts: [{ groups: [first, second] }] } = await opened("PX-FOOTWEAR"), page = await tablet("2001", { javaScriptEnabled: false });
		await page.goto(network.url + first.at);
		assert.equal(await page.isVisible("[data-keeping]"), false);
		for (const point of first.points) await tap(page, point, "sound");
		await press(page);
		assert.equal(page.url(), network.url + second.at);
		assert.deepEqual(entries(id), ["answer check points"]);
		await page.context().close();
	});
});

// --- the network is away ------------------------------------------------------------------------------

/** Fills in the form for any finding of a part: seams want their exact place. */
async function writeFinding(page, fields) {
	for (const [name, value] of Object.entries(fields)) {
		const select = await page.$(`main form select[name=${name}]`);
		if (select) await page.selectOption(`main form select[name=${name}]`, value);
		else if (["severity", "outcome"].includes(name)) await tap(page, name, value);
		else await page.fill(`main form [name=${name}]`, value);
	}
}
/** A finding that the rules take, at the first point of the group; its words come from the form itself. */
async function findingAt(part, point) {
	const { defects } = await inspector.get(`${part.path}/findings?point=${point}`), defect = defects[0].code;
	const form = await inspector.get(`${part.path}/findings?point=${point}&defect=${defect}`), zone = form.zones[0];
	return { check_point: point, defect, zone: zone.value, ...(zone.has_faces ? { face: "front" } : {}), ...(zone.has_sides ? { side: "outside" } : {}),
		place: "at the left edge", severity: "minor", outcome: form.outcomes[0].value };
}

describe("off line", () => {
	test("an inspection goes on over groups and parts, the tab dies, and all of it arrives once and in order", async () => {
		const { id, parts: [hood, gloves], pages } = await opened("SX-HOOD", "SX-GLOVES"), page = await tablet();
		await page.goto(network.url + hood.groups[0].at);
		await kept(page, id, pages);
		network.set("gone");
		for (const [i, point] of hood.groups[0].points.entries()) await tap(page, point, i ? "sound" : "finding");
		await stateIs(page, "kept", /^Kept on this tablet, will send$/);
		const found = await findingAt(hood, hood.groups[0].points[0]);
		await press(page);
		assert.equal(page.url(), `${network.url}${hood.path}/findings?point=${found.check_point}`, "what was found is asked, as on line");
		await page.waitForSelector("text=this page is the one that this tablet kept");
		assert.equal(await page.inputValue("[name=check_point]"), found.check_point);
		await writeFinding(page, found);
		await press(page);
		assert.equal(page.url(), network.url + hood.groups[0].at);
		await page.waitForSelector("text=Written down, kept on this tablet");
		await press(page);
		assert.equal(page.url(), network.url + hood.groups[1].at, "the next group");
		for (const point of hood.groups[1].points) await tap(page, point, "sound");
		await press(page);
		assert.equal(page.url(), network.url + hood.groups[2].at);
		await press(page);
		assert.equal(page.url(), network.url + gloves.path, "the next part");
		for (const point of gloves.groups[0].points) await tap(page, point, "sound");
		await stateIs(page, "kept");
		await page.click("text=Overview");
		await page.waitForURL((url) => url.pathname === `/inspections/${id}`);
		await page.goto(`${network.url}/inspections/${id}/review`);
		assert.match(await page.textContent("main"), /signing need the network/);

		let again = await killed(page);
		await again.goto(network.url + hood.groups[1].at);
		await stateIs(again, "kept");
		assert.equal(await again.isChecked(`input[name="${hood.groups[1].points[0]}"][value=sound]`), true, "what was answered is there");
		assert.equal((await changesKept(again)).length, 4);
		assert.deepEqual(entries(id), []);
		network.set("there");
		await stateIs(again, "saved");
		await nothingKept(again);
		assert.deepEqual(entries(id), ["answer check points", "write down finding", "answer check points", "answer check points"]);
		for (const group of [hood.groups[1], gloves.groups[0]])
			assert.deepEqual(await answersOf(group.at), Object.fromEntries(group.points.map((point) => [point, "sound"])));
		const [first, ...others] = hood.groups[0].points;
		assert.deepEqual(await answersOf(hood.groups[0].at), { [first]: "finding", ...Object.fromEntries(others.map((point) => [point, "sound"])) });
		const findings = (await inspector.get(`/inspections/${id}`)).findings;
		assert.deepEqual(findings.map((one) => [one.check_point, one.defect, one.place]), [[first, found.defect, found.place]]);
		await again.waitForFunction(() => !document.body.dataset.kept);
		await again.context().close();
	});
	test("a network that only hangs is not waited for longer than a few seconds", async () => {
		const { id, parts: [{ groups: [first, second] }], pages } = await opened("SX-FACESHIELD"), page = await tablet();
		await page.goto(network.url + first.at);
		await kept(page, id, pages);
		network.set("silent");
		await tap(page, first.points[0], "sound");
		const since = Date.now();
		await page.goto(network.url + second.at);
		assert.ok(Date.now() - since < 15000, `${Date.now() - since} ms`);
		assert.equal(await page.getAttribute("body", "data-kept") !== null, true);
		network.set("there");
		await until(() => answersOf(first.at), { [first.points[0]]: "sound" });
		assert.equal(entries(id).length, 1);
		await page.context().close();
	});
	test("the server is started again in the midst", async () => {
		const { id, parts: [{ groups: [first, second] }], pages } = await opened("SX-HELMET"), page = await tablet();
		await page.goto(network.url + first.at);
		await kept(page, id, pages);
		await tap(page, first.points[0], "sound");
		await stateIs(page, "saved");
		await department.stop();
		await tap(page, first.points[1], "sound");
		await stateIs(page, "kept");
		await press(page);
		await tap(page, second.points[0], "sound");
		await stateIs(page, "kept");
		await department.start();
		await nothingKept(page);
		assert.deepEqual(entries(id), ["answer check points", "answer check points", "answer check points"]);
		assert.deepEqual(await answersOf(first.at), { [first.points[0]]: "sound", [first.points[1]]: "sound" });
		assert.deepEqual(await answersOf(second.at), { [second.points[0]]: "sound" });
		await page.context().close();
	});
	test("a finding half written is there again; what the server does not take is said in its form", async () => {
		const { parts: [part] } = await opened("SX-FOOTWEAR"), point = part.groups[0].points[0], page = await tablet();
		const { check_point, defect, place, ...rest } = await findingAt(part, point), address = `${network.url}${part.path}/findings?point=${check_point}&defect=${defect}`;
		await page.goto(address);
		await page.fill("[name=place]", place);
		await stateIs(page, "kept", /until you save it/);
		let again = await killed(page);
		await again.goto(network.url + part.groups[0].at);
		await again.click("text=Go on with it");
		await again.waitForURL(address);
		assert.equal(await again.inputValue("[name=place]"), place);
		const { zone, ...others } = rest;
		await writeFinding(again, { ...others, zone });
		await again.fill("[name=length_mm], [name=note]", "9999");
		await again.fill("[name=place]", "x".repeat(300));
		await press(again);
		await again.waitForSelector("#errors");
		assert.equal(await again.inputValue("[name=place]"), "x".repeat(300), "all is still in the form");
		await again.fill("[name=place]", place);
		if (await again.$("[name=length_mm]")) await again.fill("[name=length_mm]", "20");
		await press(again);
		assert.equal((await inspector.get(`/inspections/${part.path.split("/")[2]}`)).findings.length, 1);
		await again.goto(network.url + part.groups[0].at);
		await stateIs(again, "saved");
		assert.equal(await again.locator("text=Go on with it").count(), 0, "it is not kept any longer");
		await again.context().close();
	});
	test("signing needs the network and says so", async () => {
		const { id, parts: [part] } = await opened("PX-DRD"), page = await tablet();
		for (const group of part.groups)
			await inspector.post(group.at, Object.fromEntries(group.points.map((point) => [point, "sound"])), (await inspector.get(group.at)).version);
		await page.goto(`${network.url}/inspections/${id}/review`);
		await tap(page, "confirmed", "yes");
		network.set("gone");
		await page.click("main form button[type=submit]");
		await stateIs(page, "kept", /Signing needs the network/);
		network.set("there");
		await page.click("main form button[type=submit]");
		await page.waitForURL((url) => url.pathname === `/inspections/${id}`);
		assert.equal((await inspector.get(`/inspections/${id}`)).inspection.state, "signed");
		await page.context().close();
	});
});
