// Nothing typed is lost: what is answered in an inspection is stored as it is given, and is kept
// on the tablet while the network is away, until it is in the record, each once and in order.
import assert from "node:assert/strict";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, beforeEach, describe, test } from "node:test";
import { browser, componentColumns, ensembleRows, password, signIn } from "./harness.mjs";
import { answerPart, begin, idOf, prepare, sign, staffed } from "./inspecting.mjs";
import { Network } from "./network.mjs";
import { Pictures } from "./pictures.mjs";
import { Database } from "./sqlite.mjs";
import { enrolled, pin } from "./tablet.mjs";

let department, network, inspector, officer, chrome, pictures;
before(async () => {
	({ department, inspector, officer } = await staffed());
	await department.stop();
	department.pin("2001", pin);
	const more = department.import("components", [componentColumns, ...["EX", "FX", "GX"].flatMap((prefix) => ensembleRows(prefix, "structural", `${prefix}-1`, "2002"))].join("\n") + "\n");
	assert.equal(more.code, 0, more.err);
	await department.start();
	network = await new Network(department).start();
	chrome = await browser();
	pictures = await Pictures.open();
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
/** The tablet is the station's, and somebody signs in there by PIN. */
async function giveInOnTablet(page, name) {
	const device = await enrolled(department, officer.token, 2, name);
	const [{ id }] = Database.rows(department.data, "SELECT a.id FROM account a JOIN member m ON m.id = a.member_id WHERE m.badge = '2001'");
	await page.context().addCookies([{ name: "pegwarden_tablet", value: device.cookies.get("pegwarden_tablet"), url: network.url, sameSite: "Strict" }]);
	await page.goto(`${network.url}/tablet/people/${id}`);
	await page.fill("#f-pin", pin);
	await page.click("main form button[type=submit]");
	await page.waitForURL((url) => url.pathname === "/");
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
const press = (page) => Promise.all([page.waitForEvent("load"), page.click("main form[data-keep] .sticky button:not([name])")]);
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
	test("one tick answers for others, shows so, and is taken back", async () => {
		const id = await begin(inspector, "advanced", "PX-COAT-SHELL"), component = await idOf(inspector, "PX-COAT-SHELL"), page = await tablet();
		const answers = async () => { const { clean, model_agrees, size_agrees } = (await inspector.get(`/inspections/${id}`)).parts[0]; return [clean, model_agrees, size_agrees]; };
		await page.goto(`${network.url}/inspections/${id}/preparation`);
		await stateIs(page, "saved");
		await page.check(`input[name="all_yes.${component}"]`);
		await until(answers, ["yes", "yes", "yes"]);
		await page.waitForFunction((name) => document.querySelector(`input[name="${name}"][value=yes]`).checked, `size_agrees.${component}`);
		await page.uncheck(`input[name="all_yes.${component}"]`);
		await until(answers, [null, null, null]);
		await page.waitForFunction((name) => !document.querySelector(`input[name="${name}"][value=yes]`).checked, `size_agrees.${component}`);
		await stateIs(page, "saved");
		await page.context().close();
		await inspector.post(`/inspections/${id}/abandon`, { reason: "Tried" }, (await inspector.get(`/inspections/${id}`)).inspection.version);
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
	test("what is tapped and typed before the scripts are there is kept, too", async () => {
		const { parts: [part] } = await opened("EX-HOOD"), [group] = part.groups, page = await tablet();
		let arrive;
		const held = new Promise((done) => { arrive = done; });
		await page.route("**/static/keeping-answers.js", async (route) => { await held; await route.continue(); });
		const { check_point, defect, place } = await findingAt(part, group.points[1]), address = `${network.url}${part.path}/findings?point=${check_point}&defect=${defect}`;
		const other = await page.context().newPage();
		await other.route("**/static/keeping-finding.js", async (route) => { await held; await route.continue(); });
		await page.goto(network.url + group.at, { waitUntil: "commit" });
		await tap(page, group.points[0], "sound");
		await other.goto(address, { waitUntil: "commit" });
		await other.fill("[name=place]", place);
		arrive();
		await until(() => answersOf(group.at), { [group.points[0]]: "sound" });
		await stateIs(other, "kept", /until you save it/);
		const again = await killed(other);
		await again.goto(address);
		await until(() => again.inputValue("[name=place]"), place);
		await page.context().close();
	});
	test("what is tapped and typed in the moment in which the page is left is kept, too", async () => {
		const { id, parts: [part] } = await opened("GX-HELMET"), [group, next] = part.groups, page = await tablet();
		const [first, second, third] = group.points;
		/** From now on this page's database takes longer than the page lives. */
		const stall = () => page.evaluate(() => { IDBDatabase.prototype.transaction = () => ({ objectStore: () => ({ getAll: () => ({}) }) }); });
		await page.goto(network.url + group.at);
		await stateIs(page, "saved");
		await stall();
		for (const [point, answer] of [[first, "sound"], [second, "sound"], [first, "finding"]]) await tap(page, point, answer);
		await page.goto(`${network.url}/`);
		await until(() => answersOf(group.at), { [first]: "finding", [second]: "sound" });
		await page.goto(network.url + next.at);
		await stateIs(page, "saved");
		await stall();
		await page.click("button[name=all_sound]");
		await page.goto(`${network.url}/`);
		await until(() => answersOf(next.at), Object.fromEntries(next.points.map((point) => [point, "sound"])));
		const { together } = (await inspector.get(`/inspections/${id}`)).parts[0];
		assert.deepEqual(together.map((one) => one.points.map((point) => point.code)), [next.points], "and that it was one tap");
		const { check_point, defect, place } = await findingAt(part, third), address = `${network.url}${part.path}/findings?point=${check_point}&defect=${defect}`;
		await page.goto(address);
		await stateIs(page, "saved");
		await stall();
		await page.fill("[name=place]", place);
		await page.goto(`${network.url}/`);
		await page.goto(address);
		await until(() => page.inputValue("[name=place]"), place);
		await nothingKept(page);
		assert.deepEqual(await page.evaluate(() => Object.keys(localStorage).filter((key) => key.startsWith("jotted"))), []);
		await page.context().close();
	});
	test("what is tapped while the answer to a tick for several questions is on its way stays", async () => {
		const id = await begin(inspector, "advanced", "FX-COAT-SHELL", "FX-COAT-LINER", "FX-HELMET", "FX-HOOD"), page = await tablet();
		const gate = () => { const one = {}; one.opened = new Promise((done) => { one.open = done; }); return one; };
		const answer = gate(), asked = gate(), later = gate();
		let posts = 0;
		await page.route("**/preparation", async (route) => {
			const request = route.request();
			if (request.resourceType() === "fetch" && request.method() === "GET") asked.open(), await answer.opened;
			if (request.method() === "POST" && ++posts > 1) await later.opened;
			await route.continue();
		});
		await page.goto(`${network.url}/inspections/${id}/preparation`);
		await stateIs(page, "saved");
		const single = await page.locator("main form section:not(:has(details)) input[value=yes]").evaluateAll((list) => list.map((one) => one.name));
		await page.check("input[name^=all_yes]");
		await asked.opened;
		await tap(page, single[0], "yes");
		answer.open();
		await page.waitForSelector("main form details input[value=yes]:checked", { state: "attached" }); // what the tick said shows
		await tap(page, single[1], "yes");
		later.open();
		await nothingKept(page);
		const cleanOf = async (name) => (await inspector.get(`/inspections/${id}`)).parts.find((part) => part.component === Number(name.split(".")[1])).clean;
		assert.deepEqual([await cleanOf(single[0]), await cleanOf(single[1])], ["yes", "yes"]);
		for (const name of single.slice(0, 2)) assert.equal(await page.isChecked(`input[name="${name}"][value=yes]`), true);
		await page.context().close();
	});
	test("back to what a form was answered with shows the form's page, and sends nothing again", async () => {
		const { id, parts: [part], pages } = await opened("FX-FOOTWEAR"), page = await tablet();
		await page.goto(network.url + part.groups[0].at);
		await kept(page, id, pages);
		const { check_point, defect, ...fields } = await findingAt(part, part.groups[0].points[0]), address = `${network.url}${part.path}/findings?point=${check_point}&defect=${defect}`;
		await page.goto(address);
		await writeFinding(page, { ...fields, place: "x".repeat(300) }); // it comes back
		await press(page);
		await page.waitForSelector("#errors");
		await page.goto(`${network.url}/inspections/${id}`);
		await page.goBack();
		await page.waitForURL(address);
		assert.doesNotMatch(await page.textContent("main"), /network is away/);
		await page.context().close();
	});
	test("a second tab sees when the first one has sent what waited", async () => {
		const { parts: [part] } = await opened("FX-TROUSER-SHELL"), [group] = part.groups, page = await tablet();
		const { check_point, defect, place } = await findingAt(part, group.points[1]), other = await openTab(page.context());
		await other.goto(`${network.url}${part.path}/findings?point=${check_point}&defect=${defect}`);
		await stateIs(other, "saved");
		let arrive;
		const held = new Promise((done) => { arrive = done; }), asked = new Promise((done) => page.route("**/parts/*", async (route) => {
			if (route.request().method() === "POST") done(), await held;
			await route.continue();
		}));
		await page.goto(network.url + group.at);
		await tap(page, group.points[0], "sound");
		await asked;
		await other.fill("[name=place]", place);
		await stateIs(other, "saving");
		arrive();
		await stateIs(other, "kept", /until you save it/);
		await page.context().close();
	});
	test("where no pages are kept, the button waits for a slow server and then goes on", async () => {
		const { parts: [{ groups: [first, second] }] } = await opened("FX-FACESHIELD"), page = await tablet("2001", { serviceWorkers: "block" });
		let arrive;
		const held = new Promise((done) => { arrive = done; }), asked = new Promise((done) => page.route("**/parts/*", async (route) => {
			if (route.request().method() === "POST") done(), await held;
			await route.continue();
		}));
		await page.clock.install();
		await page.goto(network.url + first.at);
		await stateIs(page, "saved");
		for (const point of first.points) await tap(page, point, "sound");
		await page.click("main form[data-keep] .sticky button:not([name])");
		await asked;
		await page.clock.fastForward(5000); // longer than the button would wait with pages to go on to
		arrive();
		await page.waitForURL(network.url + second.at);
		assert.deepEqual(await answersOf(first.at), Object.fromEntries(first.points.map((point) => [point, "sound"])));
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
		const input = `main form [name=${name}]`;
		if (await page.$(`${input}[type=radio]`)) await tap(page, name, value);
		else if (await page.$(`select${input.slice("main form ".length)}`)) await page.selectOption(input, value);
		else await page.fill(input, value);
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
		await page.click("details.where summary");
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
		await stateIs(page, "saving");
		await until(async () => (await changesKept(page)).filter((one) => one.version).length, 1);
		await tap(page, first.points[1], "sound");
		await until(async () => (await changesKept(page)).length, 2); // kept at once, however long sending takes
		const since = Date.now();
		await page.goto(network.url + second.at);
		assert.ok(Date.now() - since < 15000, `${Date.now() - since} ms`);
		assert.equal(await page.getAttribute("body", "data-kept") !== null, true);
		network.set("there");
		await until(() => answersOf(first.at), { [first.points[0]]: "sound", [first.points[1]]: "sound" });
		assert.equal(entries(id).length, 2);
		await page.context().close();
	});
	test("the battery dies: what was kept is on the disk", async () => {
		const { chromium } = await import("playwright-core");
		const { id, parts: [{ groups: [first] }] } = await opened("PX-SHROUD"), folder = mkdtempSync(join(tmpdir(), "pegwarden-browser-"));
		const begin = () => chromium.launchPersistentContext(folder, { executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"] });
		let context = await begin(), page = await openTab(context);
		await signIn(page, network, "2001");
		await page.goto(network.url + first.at);
		await stateIs(page, "saved");
		network.set("gone");
		await tap(page, first.points[0], "sound");
		await stateIs(page, "kept");
		const dead = new Promise((done) => context.once("close", done));
		(await context.newCDPSession(page)).send("Browser.crash").catch(() => {});
		await dead;
		network.set("there");
		context = await begin();
		page = await openTab(context);
		await signIn(page, network, "2001");
		await until(async () => [await answersOf(first.at), await changesKept(page)], [{ [first.points[0]]: "sound" }, []]);
		assert.deepEqual(entries(id), ["answer check points"]);
		await context.close();
		rmSync(folder, { recursive: true, force: true });
	});
	test("what the browser writes down lazily is gone with the battery: what was kept is sent all the same", async () => {
		const { parts: [{ groups: [first] }] } = await opened("GX-HOOD"), page = await tablet();
		await page.goto(network.url + first.at);
		await stateIs(page, "saved");
		network.set("gone");
		await tap(page, first.points[0], "sound");
		await stateIs(page, "kept");
		await page.evaluate(async () => {
			localStorage.clear();
			for (const one of await navigator.serviceWorker.getRegistrations()) await one.unregister();
		});
		const again = await killed(page);
		network.set("there");
		await again.goto(`${network.url}/`); // a page that knows nothing of the inspection
		await until(() => answersOf(first.at), { [first.points[0]]: "sound" });
		await nothingKept(again);
		await again.context().close();
	});
	test("the server is started again in the midst", async () => {
		const { id, parts: [{ groups: [first, second] }], pages } = await opened("SX-HELMET"), page = await tablet();
		await page.goto(network.url + first.at);
		await kept(page, id, pages);
		await tap(page, first.points[0], "sound");
		await until(() => answersOf(first.at), { [first.points[0]]: "sound" });
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
		await stateIs(page, "saved");
		await page.fill("[name=place]", place);
		await stateIs(page, "kept", /until you save it/);
		let again = await killed(page);
		await again.goto(network.url + part.groups[0].at);
		await again.click("text=Go on with it");
		await again.waitForURL(address);
		await until(() => again.inputValue("[name=place]"), place);
		const { zone, ...others } = rest;
		await writeFinding(again, { ...others, zone });
		await again.fill("[name=length_mm], [name=note]", "9999");
		await again.fill("[name=place]", "x".repeat(300));
		await press(again);
		await again.waitForSelector("#errors");
		await stateIs(again, "refused", /Not saved yet/);
		assert.equal(await again.inputValue("[name=place]"), "x".repeat(300), "all is still in the form");
		await again.fill("[name=place]", place);
		if (await again.$("[name=length_mm]")) await again.fill("[name=length_mm]", "20");
		await press(again);
		await until(async () => (await inspector.get(`/inspections/${part.path.split("/")[2]}`)).findings.length, 1);
		await again.waitForURL((url) => url.href !== address);
		await again.goto(network.url + part.groups[0].at);
		await stateIs(again, "saved");
		assert.equal(await again.locator("text=Go on with it").count(), 0, "it is not kept any longer");
		await again.context().close();
	});
	test("all sound in a group is one tap here too, and the record says that it was and when, by the tablet", async () => {
		const { id, parts: [gloves, drd], pages } = await opened("FX-GLOVES", "FX-DRD"), page = await tablet(), [first, second] = gloves.groups;
		const allSound = () => Promise.all([page.waitForEvent("load"), page.click("button[name=all_sound]")]);
		await page.goto(network.url + first.at);
		await kept(page, id, pages);
		network.set("gone");
		await tap(page, first.points[0], "finding");
		await allSound();
		assert.equal(page.url(), `${network.url}${gloves.path}/findings?point=${first.points[0]}`, "what was found is asked, as on line");
		await page.goto(network.url + second.at);
		await page.waitForSelector("text=this page is the one that this tablet kept");
		await allSound();
		const shown = page.url();
		await page.goto(network.url + second.at);
		await stateIs(page, "kept");
		for (const point of second.points) assert.equal(await page.isChecked(`input[name="${point}"][value=sound]`), true, point);
		await tap(page, second.points[0], "finding"); // looked at again
		await until(async () => (await changesKept(page)).some((one) => one.fields[second.points[0]] === "finding"), true);
		await page.goto(shown);
		network.set("there");
		await nothingKept(page);
		const sound = (points, but) => Object.fromEntries(points.map((point) => [point, point === but ? "finding" : "sound"]));
		for (const group of [first, second]) assert.deepEqual(await answersOf(group.at), sound(group.points, group.points[0]));
		const { together, worked_s } = (await inspector.get(`/inspections/${id}`)).parts[0];
		assert.deepEqual(together.map((one) => one.points.map((point) => point.code)), [first.points.slice(1), second.points.slice(1)]);
		assert.ok(Date.parse(together[1].away_answered_at) >= Date.parse(together[1].away_opened_at));
		assert.ok(Math.abs(Date.parse(together[1].away_answered_at) - Date.now()) < 120000);
		assert.ok(worked_s === null || worked_s < 120, `${worked_s}`);
		assert.deepEqual(await answersOf(drd.groups[0].at), {});
		await page.context().close();
	});
	test("what was found before is left to be answered by itself, by that tap too", async () => {
		const before = await opened("EX-GLOVES"), point = before.parts[0].groups[0].points[0], { check_point, ...what } = await findingAt(before.parts[0], point);
		await answerPart(inspector, before.id, await idOf(inspector, "EX-GLOVES"), { check_point, ...what });
		await sign(inspector, before.id);
		const { parts: [{ groups: [group] }] } = await opened("EX-GLOVES"), page = await tablet();
		await page.goto(network.url + group.at);
		await stateIs(page, "saved");
		await page.click("button[name=all_sound]");
		await until(() => answersOf(group.at), Object.fromEntries(group.points.filter((one) => one !== point).map((one) => [one, "sound"])));
		assert.equal(page.url(), network.url + group.at);
		await page.waitForFunction((name) => document.activeElement.name === name, point);
		await page.context().close();
	});
	test("photos are kept too: the finding takes its own when both arrive, each once", async () => {
		const { id, parts: [part], pages } = await opened("EX-COAT-LINER"), [group] = part.groups, page = await tablet();
		await page.goto(network.url + group.at);
		await kept(page, id, pages);
		network.set("gone");
		const picture = { name: "label.png", mimeType: "image/png", buffer: await pictures.make("image/png", 40, 30) };
		await page.setInputFiles("#f-photo", picture);
		await page.waitForSelector("text=Photo 1 is kept on this tablet and will be sent.");
		await stateIs(page, "kept");
		await tap(page, group.points[0], "finding");
		await press(page);
		const found = await findingAt(part, group.points[0]);
		await page.setInputFiles("#f-photo", { ...picture, buffer: await pictures.make("image/png", 50, 20) });
		await page.waitForSelector(".uploads canvas[aria-label='Photo 1']");
		await writeFinding(page, found);
		await press(page);
		let again = await killed(page);
		await again.goto(network.url + group.at);
		await again.waitForSelector(".uploads canvas");
		await again.goto(`${network.url}/kept`);
		await until(() => again.locator("[data-not-sent] canvas").count(), 2);
		assert.deepEqual(Database.rows(department.data, `SELECT count(*) AS n FROM photo WHERE inspection_id = ${id}`), [{ n: 0 }]);
		network.set("there");
		await nothingKept(again);
		const rows = Database.rows(department.data, `SELECT width, check_point, finding_id IS NOT NULL AS has_finding FROM photo WHERE inspection_id = ${id} ORDER BY width`);
		assert.deepEqual(rows, [{ width: 40, check_point: null, has_finding: 0 }, { width: 50, check_point: found.check_point, has_finding: 1 }]);
		await again.context().close();
	});
	test("a photo that the record does not take is said, and is not lost", async () => {
		const { id, parts: [{ groups: [group] }] } = await opened("EX-FOOTWEAR"), page = await tablet();
		await page.goto(network.url + group.at);
		await stateIs(page, "saved");
		network.set("gone");
		await page.setInputFiles("#f-photo", { name: "a.png", mimeType: "image/png", buffer: await pictures.make("image/png", 20, 20) });
		await stateIs(page, "kept");
		await inspector.post(`/inspections/${id}/abandon`, { reason: "a test" }, (await inspector.get(`/inspections/${id}`)).inspection.version);
		network.set("there");
		await stateIs(page, "refused", /Could not be saved/);
		await page.click("text=Look at it");
		const [saved] = await Promise.all([page.waitForEvent("download"), page.click("text=Save it as a file")]);
		const bytes = readFileSync(await saved.path());
		assert.deepEqual([bytes[0], bytes[1]], [0xff, 0xd8], "a JPEG");
		await page.click("text=Dismiss");
		await page.waitForSelector("text=Nothing is kept that was not sent.");
		await page.context().close();
	});
	test("signing needs the network and says so", async () => {
		const { id, parts: [part], pages } = await opened("PX-DRD"), page = await tablet();
		await page.goto(network.url + part.groups[0].at);
		await kept(page, id, pages);
		for (const group of part.groups)
			await inspector.post(group.at, Object.fromEntries(group.points.map((point) => [point, "sound"])), (await inspector.get(group.at)).version);
		await page.goto(`${network.url}/inspections/${id}/review`);
		await tap(page, "confirmed", "yes");
		network.set("gone");
		await page.click("main form[data-keep] button[type=submit]");
		await stateIs(page, "kept", /Signing needs the network/);
		network.set("there");
		await page.click("main form[data-keep] button[type=submit]");
		await page.waitForURL((url) => url.pathname === `/inspections/${id}/next`);
		assert.equal((await inspector.get(`/inspections/${id}`)).inspection.state, "signed");
		await kept(page, id, 0); // nothing of it goes on
		await page.context().close();
	});
});

// --- two tablets on one inspection -----------------------------------------------------------------

const text = (page) => page.textContent("main");
/** Another tablet answers, as far as the record is concerned. */
const elsewhere = async (at, answers) => inspector.post(at, answers, (await inspector.get(at)).version);

describe("two tablets on one inspection", () => {
	test("answers at different points are both stored, and both are seen", async () => {
		const { parts: [{ groups: [group] }] } = await opened("PX-COAT-LINER"), [a, b, c] = group.points;
		const one = await tablet("2001"), other = await tablet("2003");
		for (const page of [one, other]) await page.goto(network.url + group.at);
		for (const page of [one, other]) await stateIs(page, "saved");
		await tap(one, a, "sound");
		await stateIs(one, "saved");
		await until(() => answersOf(group.at), { [a]: "sound" });
		await tap(other, b, "finding");
		await stateIs(other, "saved", /together with what another tablet saved/);
		assert.equal(await other.isChecked(`input[name="${a}"][value=sound]`), true, "what the other one answered shows");
		await tap(one, c, "sound");
		await stateIs(one, "saved", /together with/);
		assert.equal(await one.isChecked(`input[name="${b}"][value=finding]`), true);
		assert.deepEqual(await answersOf(group.at), { [a]: "sound", [b]: "finding", [c]: "sound" });
		for (const page of [one, other]) await page.context().close();
	});
	test("different answers at one point are shown side by side, and the person chooses", async () => {
		const { id, parts: [part] } = await opened("PX-COAT-SHELL"), group = part.groups.find((one) => one.points.length > 2), [a, b, c] = group.points, page = await tablet();
		await page.goto(network.url + group.at);
		await stateIs(page, "saved");
		network.set("gone");
		for (const [point, answer] of [[a, "sound"], [b, "sound"], [c, "sound"]]) await tap(page, point, answer);
		await stateIs(page, "kept");
		await elsewhere(group.at, { [a]: "finding", [b]: "finding" });
		network.set("there");
		await stateIs(page, "refused", /somebody else answered the same point differently/);
		await until(() => answersOf(group.at), { [a]: "finding", [b]: "finding", [c]: "sound" }); // nobody's answer is overwritten
		await page.click("text=Look at it");
		await page.waitForSelector("[data-not-sent] form");
		const points = page.locator("[data-not-sent] fieldset");
		assert.deepEqual(await points.evaluateAll((list) => list.map((one) => [...one.querySelectorAll("span")].map((word) => word.textContent))),
			[["Mine: Sound", "Theirs: Finding"], ["Mine: Sound", "Theirs: Finding"]]);
		await points.nth(0).locator("input[value=mine]").check();
		await points.nth(1).locator("input[value=theirs]").check();
		await page.click("text=Keep what I chose");
		await page.waitForSelector("text=Nothing is kept that was not sent");
		assert.deepEqual(await answersOf(group.at), { [a]: "sound", [b]: "finding", [c]: "sound" });
		assert.equal(entries(id).length, 3);
		await page.context().close();
	});
	test("the button for what is left of a group sends nobody's answer back", async () => {
		const { parts: [{ groups: [group] }] } = await opened("PX-OVERCOVER"), [a, b, ...others] = group.points, page = await tablet();
		await elsewhere(group.at, { [a]: "sound" });
		await page.goto(network.url + group.at);
		await stateIs(page, "saved");
		await elsewhere(group.at, { [a]: "finding" });
		await tap(page, b, "finding");
		await Promise.all([page.waitForEvent("load"), page.click("button[name=all_sound]")]);
		assert.deepEqual(await answersOf(group.at), { [a]: "finding", [b]: "finding", ...Object.fromEntries(others.map((point) => [point, "sound"])) });
		await page.context().close();
	});
	test("a finding at a point where somebody else found something is not written without asking", async () => {
		const { id, parts: [part], pages } = await opened("PX-TROUSER-LINER"), point = part.groups[0].points[0], page = await tablet();
		await page.goto(`${network.url}${part.groups[0].at}`);
		await kept(page, id, pages);
		const found = await findingAt(part, point);
		network.set("gone");
		await page.goto(`${network.url}${part.path}/findings?point=${point}`);
		await writeFinding(page, { ...found, place: "mine" });
		await press(page);
		await inspector.post(`${part.path}/findings`, { ...found, place: "theirs" }, (await inspector.get(part.path)).version);
		network.set("there");
		await stateIs(page, "refused");
		await page.click("text=Look at it");
		await page.waitForSelector("[data-not-sent] form");
		assert.match(await text(page), /Theirs: somebody else wrote down a finding here/);
		await page.check("input[value=mine]");
		await page.click("text=Keep what I chose");
		await page.waitForSelector("text=Nothing is kept that was not sent");
		assert.deepEqual((await inspector.get(`/inspections/${id}`)).findings.map((one) => one.place).sort(), ["mine", "theirs"]);
		await page.context().close();
	});
	test("what the record does not take any more is shown until it is dismissed", async () => {
		const { id, parts: [{ groups: [group] }] } = await opened("PX-TROUSER-SHELL"), page = await tablet();
		await page.goto(network.url + group.at);
		await stateIs(page, "saved");
		network.set("gone");
		await tap(page, group.points[0], "sound");
		await stateIs(page, "kept");
		await inspector.post(`/inspections/${id}/abandon`, { reason: "Called away" }, (await inspector.get(`/inspections/${id}`)).inspection.version);
		network.set("there");
		await stateIs(page, "refused", /Could not be saved: This inspection is abandoned/);
		const again = await killed(page);
		await again.goto(`${network.url}/kept`);
		await again.waitForSelector("text=This inspection is abandoned");
		assert.match(await text(again), /Sound/);
		await again.click("text=Dismiss");
		await again.waitForSelector("text=Nothing is kept that was not sent");
		await nothingKept(again);
		await again.context().close();
	});
});

// --- from hand to hand -------------------------------------------------------------------------------

async function handOver(page) {
	await page.click("header summary");
	await page.click('form[action="/sign-out"] button');
	await page.waitForURL((url) => url.pathname === "/sign-in");
}
async function signInHere(page, badge) {
	await page.fill("#f-badge", badge);
	await page.fill("#f-password", password);
	await page.click("main form button[type=submit]");
}
const keptPages = (page) => page.evaluate(async () => (await caches.keys()).filter((one) => one.startsWith("pages:")));
/** Everything that the browser keeps of this server, as text. */
const everythingKept = (page) => page.evaluate(async () => {
	const all = [JSON.stringify(localStorage), JSON.stringify(sessionStorage)];
	for (const name of await caches.keys())
		for (const request of await (await caches.open(name)).keys()) all.push(request.url, await (await (await caches.open(name)).match(request)).text());
	await new Promise((done) => {
		indexedDB.open("pegwarden").onsuccess = (event) => {
			const work = event.target.result.transaction(["changes", "halves"]);
			for (const one of ["changes", "halves"]) work.objectStore(one).getAll().onsuccess = (read) => all.push(JSON.stringify(read.target.result));
			work.oncomplete = done;
		};
	});
	return all.join("\n");
});

describe("from hand to hand", () => {
	test("unsent work stays the first person's through a hand-over, and is sent when they are back", async () => {
		const { id, parts: [{ groups: [group] }], pages } = await opened("SX-COAT-LINER"), [a, b] = group.points, page = await tablet();
		await page.goto(network.url + group.at);
		await kept(page, id, pages);
		network.refuse(/^POST \/inspections/);
		await tap(page, a, "sound");
		await stateIs(page, "kept");
		await handOver(page);
		await page.waitForSelector("text=Work of Ines Okafor that was not sent waits on this tablet");
		await signInHere(page, "2003");
		await page.waitForSelector("text=Work of Ines Okafor that was not sent waits on this tablet");
		await page.goto(`${network.url}/kept`);
		await page.waitForSelector("text=Work of Ines Okafor");
		await page.waitForSelector("text=Nothing is kept that was not sent");
		await page.goto(network.url + group.at);
		await stateIs(page, "saved");
		assert.equal(await page.isChecked(`input[name="${a}"][value=sound]`), false, "the first person's answer is theirs");
		network.set("there");
		await tap(page, b, "sound");
		await until(() => answersOf(group.at), { [b]: "sound" });
		assert.deepEqual(Database.rows(department.data, "SELECT actor FROM audit_entry ORDER BY seq DESC LIMIT 1").map((row) => row.actor), ["2003 Eva Moreau"]);
		await kept(page, id, pages);
		network.set("gone");
		await page.goto(`${network.url}/inspections/${id}`);
		assert.equal(await page.getAttribute("body", "data-name"), "Eva Moreau", "each is shown their own pages");
		network.set("there");
		await page.waitForFunction(() => !document.body.dataset.kept); // it gives way to the server's
		await page.goto(`${network.url}/`);
		await handOver(page);
		assert.ok((await keptPages(page)).length, "the pages of whose work waits wait with it");
		await signInHere(page, "2001");
		await until(() => answersOf(group.at), { [a]: "sound", [b]: "sound" });
		assert.deepEqual(Database.rows(department.data, "SELECT actor FROM audit_entry ORDER BY seq DESC LIMIT 1").map((row) => row.actor), ["2001 Ines Okafor"]);
		await nothingKept(page);
		await handOver(page);
		await until(() => keptPages(page), []);
		await signInHere(page, "2003");
		await page.waitForURL((url) => url.pathname === "/");
		await page.goto(network.url + group.at);
		await kept(page, id, pages);
		network.set("gone");
		await page.click("header summary");
		await page.click('form[action="/sign-out"] button');
		await page.waitForSelector("text=Not handed over yet");
		await page.goto(`${network.url}/inspections/${id}`);
		assert.match(await text(page), /not kept on this tablet/);
		await page.context().close();
	});
	test("when the session ended, it waits for its person to sign in, and no secret waits with it", async () => {
		const { id, parts: [{ groups: [group] }], pages } = await opened("SX-COAT-SHELL"), page = await tablet();
		await page.goto(network.url + group.at);
		await kept(page, id, pages);
		const secrets = await page.evaluate(() => [...document.querySelectorAll("[name=_token], [name=_key]")].map((one) => one.value));
		assert.ok(secrets.length >= 3 && secrets.every((one) => one.length > 20));
		await page.context().clearCookies();
		await tap(page, group.points[0], "sound");
		await stateIs(page, "kept", /when you have signed in again/);
		const everything = await everythingKept(page);
		assert.match(everything, /"fields":\{/);
		for (const secret of [password, ...secrets]) assert.ok(!everything.includes(secret), secret);
		await page.goto(network.url + group.at);
		await page.waitForURL((url) => url.pathname === "/sign-in");
		await signInHere(page, "2001");
		await until(() => answersOf(group.at), { [group.points[0]]: "sound" });
		await page.context().close();
	});
	test("a shared tablet left alone shows nothing of what it keeps", async () => {
		const { id, parts: [{ groups: [group] }], pages } = await opened("SX-DRD"), page = await tablet(null);
		await giveInOnTablet(page, "Bay 9");
		await page.goto(network.url + group.at);
		await kept(page, id, pages);
		assert.equal(await page.getAttribute("body", "data-lock"), "300");
		network.set("gone");
		await page.goto(`${network.url}/inspections/${id}`);
		assert.ok(await page.getAttribute("body", "data-kept"));
		// As it is after more than five minutes.
		await page.evaluate(async () => {
			const here = await caches.open("here"), was = await (await here.match("/here")).json();
			await here.put("/here", new Response(JSON.stringify({ ...was, touched: Date.now() - 301000 })));
		});
		await page.goto(`${network.url}/inspections/${id}`);
		assert.match(await text(page), /This tablet was left alone/);
		assert.doesNotMatch(await page.content(), /Okafor|SX-DRD/);
		await page.context().close();
	});
	test("a shared tablet left alone asks who it is, though nobody touches it", async () => {
		const { parts: [{ groups: [group] }] } = await opened("EX-HELMET"), page = await tablet(null);
		await page.clock.install();
		await giveInOnTablet(page, "Bay 10");
		await page.goto(network.url + group.at);
		await tap(page, group.points[0], "sound");
		await until(() => answersOf(group.at), { [group.points[0]]: "sound" });
		Database.change(department.data, "UPDATE session SET seen_s = seen_s - 301 WHERE tablet_id IS NOT NULL");
		await signIn(await (await chrome.newContext()).newPage(), network, "2002"); // what was changed from outside is read anew
		await page.clock.fastForward(302000);
		await page.waitForURL((url) => url.pathname === "/sign-in");
		assert.doesNotMatch(await page.content(), /EX-HELMET/);
		await page.context().close();
	});
});

// --- a browser that keeps nothing ----------------------------------------------------------------------

test("a browser that keeps nothing says so; on line all is stored as ever", async () => {
	const { parts: [{ groups: [group] }] } = await opened("SX-TROUSER-LINER"), page = await tablet();
	await page.addInitScript(() => {
		Object.defineProperty(globalThis, "indexedDB", { get() { throw new DOMException("refused", "SecurityError"); } });
		Object.defineProperty(globalThis, "localStorage", { get() { throw new DOMException("refused", "SecurityError"); } });
	});
	await page.goto(network.url + group.at);
	await stateIs(page, "saved", /Not kept on this tablet while the network is away/);
	await tap(page, group.points[0], "sound");
	await until(() => answersOf(group.at), { [group.points[0]]: "sound" });
	network.set("gone");
	await tap(page, group.points[1], "sound");
	await stateIs(page, "lost", /stay on this page until it is saved/);
	await page.click("main form[data-keep] .sticky button:not([name])");
	await stateIs(page, "lost");
	assert.equal(page.url(), network.url + group.at, "it does not leave what would be lost");
	network.set("there");
	await until(() => answersOf(group.at), { [group.points[0]]: "sound", [group.points[1]]: "sound" });
	await stateIs(page, "saved");
	await page.context().close();
});

// --- how it looks and what it is -----------------------------------------------------------------------

test("each state is accessible and fits, in light and dark", async () => {
	const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
	const { id, parts: [part], pages } = await opened("SX-TROUSER-SHELL"), [group] = part.groups;
	const page = await tablet("2001", { viewport: { width: 360, height: 740 }, bypassCSP: true }), wrong = [];
	const look = async (what) => {
		for (const colorScheme of ["light", "dark"]) {
			await page.emulateMedia({ colorScheme, reducedMotion: "reduce" });
			await page.evaluate(axe);
			const { violations } = await page.evaluate(() => globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }));
			for (const one of violations) wrong.push(`${what}, ${colorScheme}: ${one.id} ${one.nodes[0].html.slice(0, 140)} ${one.nodes[0].failureSummary}`);
			const wide = await page.evaluate(() => document.documentElement.scrollWidth);
			if (wide > 360) wrong.push(`${what}: ${wide} px wide`);
			const small = await page.evaluate(() => [...document.querySelectorAll("main button, main a.button, .keeping a, main select, main label.choice")].filter((one) => one.checkVisibility() && one.getBoundingClientRect().height < 48).map((one) => one.textContent));
			if (small.length) wrong.push(`${what}: small ${small}`);
		}
	};
	await page.goto(network.url + group.at);
	await kept(page, id, pages);
	await look("saved");
	network.set("gone");
	await tap(page, group.points[0], "sound");
	await stateIs(page, "kept");
	await look("kept");
	await page.goto(`${network.url}${part.path}/findings`);
	await page.waitForSelector("text=this page is the one");
	await look("the form for any finding, kept");
	await page.goto(`${network.url}/kept`);
	await page.waitForSelector("text=Not sent yet");
	await look("what is kept");
	await page.goto(`${network.url}/members`);
	await look("not kept");
	await elsewhere(group.at, { [group.points[0]]: "finding" });
	network.set("there");
	await page.goto(network.url + group.at);
	await stateIs(page, "refused");
	await look("refused");
	await page.click("text=Look at it");
	await page.waitForSelector("[data-not-sent] form");
	await look("mine or theirs");
	assert.deepEqual(wrong, []);
	await page.context().close();
});
test("the worker answers for every page, is small, and is no page's script", async () => {
	const answer = await fetch(`${department.url}/static/keeping-worker.js`);
	assert.equal(answer.headers.get("service-worker-allowed"), "/");
	assert.match(answer.headers.get("content-security-policy"), /script-src 'self'/);
	assert.ok((await answer.text()).length < 20000);
	assert.equal((await fetch(`${department.url}/static/pegwarden.js`)).headers.get("service-worker-allowed"), null);
});
