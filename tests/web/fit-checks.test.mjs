// Interface checks: the whole outfit worn, and what a gap where two elements meet does to readiness.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { browser, signIn } from "./harness.mjs";
import { componentOf, earlier, idOf, staffed } from "./inspecting.mjs";

let department, client, officer, reader, people, outfit;
before(async () => {
	({ department, inspector: client, member: reader, officer } = await staffed());
	people = Object.fromEntries((await client.get("/members")).rows.map((row) => [row.badge, row.id]));
	outfit = {};
	for (const [hazard, prefix] of [["structural", "SX"], ["proximity", "PX"]])
		outfit[hazard] = (await client.get(`/components?q=${prefix}-&size=50`)).rows.map((row) => row.id);
});
after(() => department?.finish());

const shared = ["coat_trousers", "hood_collar", "hood_facepiece", "glove_sleeve", "trousers_boots", "helmet_hood"];
const interfaces = { structural: shared, proximity: [...shared, "shroud_coat", "overcover_faceshield"] };
const wearer = { structural: "2002", proximity: "2001" };
const closed = (hazard) => ({ member: people[wearer[hazard]], hazard, component: outfit[hazard], overlap: "6", unit: "in",
	...Object.fromEntries(interfaces[hazard].map((one) => [one, "closed"])) });
const record = (hazard, more = {}, who = client) => who.post("/fit-checks", { ...closed(hazard), ...more });
const checkOf = async (path) => (await client.get(path)).fit_check;
const refused = async (hazard, more, field) => {
	const answer = await client.send("/fit-checks", { ...closed(hazard), ...more }, null, 422);
	assert.ok(answer.doc.errors.some((error) => error.field === field), answer.text);
	return answer.doc.errors.find((error) => error.field === field).message;
};
const readiness = async (hazard) => (await client.get(`/readiness/members/${people[wearer[hazard]]}`)).rows.find((row) => row.hazard === hazard);
const gaps = async (hazard) => (await readiness(hazard)).obstacles.filter((one) => one.code === "gap").map((one) => one.text.split(":")[0]);
const fitOf = async (hazard) => (await client.get(`/members/${people[wearer[hazard]]}`)).fit.find((one) => one.hazard === hazard);

test("never checked is a hint and no obstacle", async () => {
	for (const hazard of ["structural", "proximity"]) {
		assert.equal((await fitOf(hazard)).latest, null);
		assert.equal((await readiness(hazard)).is_ready, true);
	}
	const page = await department.json(`/members/${people[2001]}`, { token: client.token, headers: { accept: "text/html" } });
	assert.match(page.text, /Proximity outfit: never checked while worn/);
	assert.doesNotMatch(page.text, /Structural outfit: never checked/, "not assigned to it");
});

test("a gap stands in the way until a check of a later day closes it; no repair ticket comes of it", async () => {
	const path = await record("structural", { checked_on: earlier(9), hood_collar: "bend", note: "at the nape" });
	const check = await checkOf(path);
	assert.deepEqual([check.result, check.checked_by_name, check.note], ["gap", "Ines Okafor", "at the nape"]);
	assert.match(check.because, /Hood and coat collar: skin or a gap shows when bending\./);
	assert.match(check.because, /Overlap of coat and trousers: 15\.24 cm \(6 in\), as asked for, at least 5 cm/);
	const now = await readiness("structural");
	assert.equal(now.is_ready, false);
	assert.deepEqual(now.obstacles.map((one) => [one.code, one.component, one.url]), [["gap", null, path]]);
	assert.match(now.obstacles[0].text, new RegExp(`when bending\\. Interface check of ${earlier(9)}\\.`));
	assert.deepEqual(await gaps("proximity"), [], "the other hazard is another outfit");
	assert.equal((await client.get("/findings?state=open")).total, 0);
	await record("structural", { checked_on: earlier(9) });
	assert.deepEqual(await gaps("structural"), ["Hood and coat collar"], "of one day the gap stands");
	await record("structural", { checked_on: earlier(8), hood_collar: "not_worn", hood_facepiece: "not_worn", helmet_hood: "not_worn" });
	assert.deepEqual(await gaps("structural"), ["Hood and coat collar"], "without the hood nobody can say");
	await record("structural", { checked_on: earlier(7) });
	assert.equal((await readiness("structural")).is_ready, true);
	await record("structural", { checked_on: earlier(7), trousers_boots: "kneel" });
	assert.deepEqual(await gaps("structural"), ["Trousers and boots"], "of one day the gap stands, though it was written down after");
	await record("structural", { checked_on: earlier(8), trousers_boots: "crawl" });
	await record("structural", { checked_on: earlier(6) });
	assert.deepEqual(await gaps("structural"), []);
});

test("coat over trousers: 2 in are enough, 1.5 are not, whatever it looked like", async () => {
	assert.equal((await checkOf(await record("proximity", { checked_on: earlier(5), overlap: "2.0" }))).result, "closed");
	assert.equal((await checkOf(await record("proximity", { checked_on: earlier(5), overlap: "5", unit: "cm" }))).result, "closed");
	const path = await record("proximity", { checked_on: earlier(4), overlap: "1.5" });
	assert.equal((await checkOf(path)).result, "gap");
	assert.match((await readiness("proximity")).obstacles[0].text, /Coat and trousers: overlap of 1\.5 in \(3\.81 cm\) only/);
	await record("proximity", { checked_on: earlier(3), coat_trousers: "not_worn", overlap: undefined, unit: undefined });
	assert.deepEqual(await gaps("proximity"), ["Coat and trousers"]);
	const shy = await checkOf(await record("proximity", { checked_on: earlier(3), overcover_faceshield: "reach", overlap: "2" }));
	assert.equal(shy.overcover_faceshield, "reach");
	assert.deepEqual(await gaps("proximity"), ["Overcover and faceshield"]);
	await record("proximity", { checked_on: earlier(2) });
	assert.deepEqual(await gaps("proximity"), []);
});

test("what is missing, does not belong, or nobody would believe is asked about", async () => {
	await refused("proximity", { shroud_coat: undefined }, "shroud_coat");
	await refused("structural", { shroud_coat: "closed" }, "shroud_coat");
	await refused("structural", { hood_collar: "a bit" }, "hood_collar");
	await refused("structural", { overlap: undefined }, "overlap");
	await refused("structural", { unit: undefined }, "unit");
	await refused("structural", { coat_trousers: "not_worn" }, "overlap");
	await refused("structural", { ...Object.fromEntries(shared.map((one) => [one, "not_worn"])), overlap: undefined }, "coat_trousers");
	await refused("structural", { component: [] }, "component");
	await refused("structural", { component: outfit.proximity }, "component");
	await refused("structural", { component: [99999] }, "component");
	await refused("structural", { checked_on: "2099-01-01" }, "checked_on");
	await refused("structural", { hazard: "wet" }, "hazard");
	assert.match(await refused("structural", { overlap: "60" }, "confirmed"), /60 in \(152\.4 cm\) is unusual/);
	await refused("structural", { overlap: "60", confirmed: true }, "note");
	assert.equal((await checkOf(await record("structural", { overlap: "16", confirmed: true, note: "a coat much too long" }))).result, "closed");
	await client.send("/fit-checks", { ...closed("structural"), member: 999 }, null, 404);
	const form = (more) => department.json("/fit-checks", { token: client.token, body: { ...closed("structural"), ...more }, headers: { accept: "text/html" } });
	assert.equal((await form({ member: "nobody" })).status, 422, "no form of nobody");
	const again = await form({ hazard: "wet" });
	assert.deepEqual([again.status, /Interface check of Bo Larsen/.test(again.text)], [422, true]);
	await reader.send("/fit-checks", closed("structural"), null, 403);
	const hood = await idOf(client, "SX-HOOD");
	await client.post("/exposures", { component: [hood], cause: "fuels" });
	assert.match((await client.send("/fit-checks", closed("structural"), null, 409)).doc.detail, /SX-HOOD is contaminated/);
	await record("structural", { component: outfit.structural.filter((id) => id !== hood) });
});

test("a check recorded in error is taken back by the officer, and counts no more", async () => {
	const path = await record("proximity", { glove_sleeve: "reach" });
	assert.deepEqual(await gaps("proximity"), ["Gloves and wristlets or sleeves"]);
	const { version } = await client.get(path);
	await client.send(`${path}/revoke`, { reason: "another member" }, version, 403);
	await officer.post(`${path}/revoke`, { reason: "It was another member." }, version);
	await officer.send(`${path}/revoke`, { reason: "Again." }, version + 1, 409);
	assert.deepEqual(await gaps("proximity"), []);
	const list = await reader.get("/fit-checks?state=revoked&q=okafor&sort=name");
	assert.deepEqual(list.rows.map((row) => [row.badge, row.state_label]), [["2001", "Recorded in error"]]);
	assert.match((await department.json("/fit-checks.csv?hazard=proximity&state=revoked", { token: reader.token })).text, /^2001,Ines Okafor,ST1,proximity,.*,revoked,.*It was another member\./m);
});

test("when other parts are issued after it, the page says so", async () => {
	assert.equal((await fitOf("proximity")).has_changes, false);
	await record("proximity", { checked_on: earlier(1) });
	const old = await componentOf(client, "PX-COAT-SHELL");
	await officer.post(`/components/${old.id}/return`, { condition: "good" }, old.version);
	const whole = await componentOf(officer, "PX-COAT-SHELL");
	await officer.post(`/components/${whole.id}`, { ensemble: "" }, whole.version);
	await officer.post("/components", { tag: "PX-COAT-LONG", kind: "coat_shell", hazard: "proximity", station: 1, maker: "Harrow and Pell", model: "M1", size: "L", reflective: true, made: "2024-02" });
	const long = await componentOf(officer, "PX-COAT-LONG");
	await officer.post(`/components/${long.id}/issue`, { member: people[2001], condition: "new" }, long.version);
	const { latest, changes } = await fitOf("proximity");
	assert.deepEqual(changes.map((one) => [one.tag, one.size, one.is_new]), [["PX-COAT-SHELL", "M", false], ["PX-COAT-LONG", "L", true]]);
	for (const path of [`/fit-checks/${latest}`, `/members/${people[2001]}`]) {
		const page = await department.json(path, { token: client.token, headers: { accept: "text/html" } });
		assert.match(page.text, /made with other parts/);
		assert.match(page.text, /PX-COAT-LONG<\/a>, size L: issued on/);
	}
});

test("the form: nothing answered beforehand, every fault at its question, usable on a phone without scripts", async () => {
	const one = await browser();
	const context = await one.newContext({ viewport: { width: 360, height: 740 }, javaScriptEnabled: false });
	const page = await context.newPage();
	await signIn(page, department, "2001");
	await page.goto(`${department.url}/members/${people[2001]}`);
	await page.click("text=Check where elements meet");
	assert.equal(await page.locator("input[type=radio]:checked").count(), 0);
	assert.equal(await page.locator("fieldset:has(input[name=shroud_coat]) input").count(), 6);
	for (const box of await page.locator("label.choice").all()) assert.ok((await box.boundingBox()).height >= 48);
	assert.ok(await page.evaluate("document.documentElement.scrollWidth") <= 360);
	for (const name of interfaces.proximity.slice(1)) await page.check(`input[name=${name}][value=closed]`);
	await page.fill("input[name=overlap]", "3.5");
	await page.check("input[name=unit][value=in]");
	await page.click("text=Record the check");
	assert.match(await page.locator("fieldset:has(input[name=coat_trousers]) .field-error").textContent(), /Say what you saw/);
	assert.ok(await page.isChecked("input[name=hood_collar][value=closed]"), "what was answered is kept");
	assert.equal(await page.inputValue("input[name=overlap]"), "3.5");
	await page.check("input[name=coat_trousers][value=crawl]");
	await page.click("text=Record the check");
	assert.match(await page.textContent("main"), /Coat and trousers: skin or a gap shows when crawling\./);
	await page.goto(`${department.url}/readiness/members/${people[2001]}`);
	await page.click("text=when crawling");
	assert.match(new URL(page.url()).pathname, /^\/fit-checks\/\d+$/);
	await one.close();
});

test("in a table: the overlap as it is kept, the result worked out, never believed", async () => {
	await department.stop();
	const header = `badge,hazard,checked_on,checked_by,${shared.join()},overlap_um,result,worn,note\n`;
	const import_ = (answers, more) => department.import("fit_checks", `${header}2002,structural,${earlier(30)},2001,${answers},${more}\n`);
	const sound = shared.map(() => "closed").join();
	assert.match(import_(sound, "38100,closed,,").err, /"gap".*Overlap of coat and trousers: 3\.81 cm \(1\.5 in\)/);
	assert.match(import_(sound, ",,,").err, /measured where coat and trousers are worn/);
	assert.match(import_(sound.replace("closed", ""), "50800,,,").err, /column coat_trousers: Say what was seen/);
	assert.match(import_(sound, "50800,,SX-HOOD SX-NONE,").err, /no part "SX-NONE"/);
	assert.match(import_(sound, "50800,,SX-HOOD SX-HOOD,").err, /named twice/);
	assert.match(import_(sound, "1000000,,,").err, /is unusual/);
	assert.match(department.import("fit_checks", `${header.replace("overlap_um", "shroud_coat,overlap_um")}2002,structural,${earlier(30)},2001,${sound},closed,50800,,,\n`).err, /no such interface/);
	assert.equal(import_(sound, "50800,closed,SX-HOOD SX-GLOVES,").code, 0);
	assert.match(import_(sound, "50800,closed,SX-HOOD SX-GLOVES,").out, /1 rows, 0 stored/);
	assert.match(import_(sound, "50800,closed,SX-HOOD,").err, /other values/);
	const copy = department.copy();
	copy.remove();
	await department.start();
});

test("how far the legs fall over the boots is told beside what is usual, and is no gap by itself", async () => {
	const short = await checkOf(await record("proximity", { leg: "4", checked_on: earlier(0) }));
	assert.equal(short.result, "closed");
	assert.match(short.because, /Legs over the boots: 4 in \(10\.16 cm\), but usual is at least 6 in/);
	assert.match((await checkOf(await record("proximity", { leg: "8" }))).because, /Legs over the boots: 8 in \(20\.32 cm\), as usual, at most 10 in/);
	assert.match((await checkOf(await record("proximity", { leg: "11" }))).because, /Legs over the boots: 11 in .* but usual is at most 10 in/);
	await refused("proximity", { leg: "60" }, "leg");
	await refused("proximity", { leg: "-1" }, "leg");
	await refused("proximity", { leg: "8", trousers_boots: "not_worn" }, "leg");
	await department.stop();
	const header = `badge,hazard,checked_on,checked_by,${shared.join()},overlap_um,leg_um\n`, sound = shared.map(() => "closed");
	const bare = shared.map((one) => one === "trousers_boots" ? "not_worn" : "closed");
	assert.match(department.import("fit_checks", `${header}2002,structural,${earlier(40)},2001,${bare},50800,203200\n`).err, /column leg_um: Trousers and boots were not worn together/);
	assert.equal(department.import("fit_checks", `${header}2002,structural,${earlier(40)},2001,${sound},50800,203200\n`).code, 0);
	assert.match(department.import("fit_checks", `${header}2002,structural,${earlier(40)},2001,${sound},50800,203200\n`).out, / 0 stored/);
	await department.start();
});
