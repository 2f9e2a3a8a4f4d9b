// A change of the rules shows first what it would move; then it moves just that, at once.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Department, browser, signIn } from "./harness.mjs";
import { JsonClient } from "./inspecting.mjs";
import { Database } from "./sqlite.mjs";

let department, officer, inspector;
before(async () => {
	department = new Department("9001").fillDemo();
	department.account("3003", "officer");
	department.account("3004", "inspector");
	officer = new JsonClient(department, department.token("3003"));
	inspector = new JsonClient(department, department.token("3004"));
	await department.start();
});
after(() => department?.finish());

const version = async () => (await officer.get("/rules")).version;
const duties = () => new Map(Database.rows(department.data, "SELECT component_id || ' ' || duty AS key, duty, due_on FROM duty").map((row) => [row.key, row]));
const entries = () => Database.count(department.data, "audit_entry");

/** What moved between two states of the duty table, counted as the preview counts it. */
function moved(before, after, today) {
	const count = {}, overdue = new Set(), late = (row) => Boolean(row?.due_on) && row.due_on < today;
	for (const key of new Set([...before.keys(), ...after.keys()])) {
		const was = before.get(key), is = after.get(key);
		if (was && is && was.due_on === is.due_on) continue;
		const way = !was ? "added" : !is ? "gone" : (is.due_on ?? "") < (was.due_on ?? "") ? "earlier" : "later";
		const one = count[(was ?? is).duty] ??= { earlier: 0, later: 0, added: 0, gone: 0 };
		one[way]++;
		if (late(is) && !late(was)) overdue.add(key);
	}
	return { count, overdue: overdue.size };
}

for (const [what, change, kinds] of [
	["a tightening", { advanced_inspection_repeat_months: 9 }, ["advanced_inspection"]],
	["another rule set", { rule_set: "washington", adjustments: "drop", reason: "The station moved across the river." }, ["advanced_cleaning", "advanced_inspection"]],
	["a set without an age limit", { rule_set: "oregon", reason: "Oregon has not adopted the ten-year limit." }, ["retirement"]],
])
	test(`${what}: the preview says what the change then does`, async () => {
		const before = duties(), stored = entries(), settings = Database.rows(department.data, "SELECT * FROM setting");
		const { doc } = await officer.send("/rules/preview", change, await version());
		assert.equal(entries(), stored);
		assert.deepEqual(Database.rows(department.data, "SELECT * FROM setting"), settings, "nothing is stored");
		assert.deepEqual(duties(), before);
		await officer.send("/rules", change, await version());
		const today = new Date().toISOString().slice(0, 10), then = duties(), { count, overdue } = moved(before, then, today);
		const said = Object.fromEntries(doc.preview.duties.map(({ duty, earlier, later, added, gone }) => [duty, { earlier, later, added, gone }]));
		assert.deepEqual(said, count);
		assert.equal(doc.preview.overdue_count, overdue);
		assert.equal(doc.preview.moved, Object.values(count).flatMap(Object.values).reduce((sum, n) => sum + n, 0));
		assert.equal(doc.preview.overdue.length, Math.min(overdue, 100));
		for (const kind of kinds) assert.ok(said[kind], kind);
		const same = (duty) => [...before].filter(([key, row]) => row.duty === duty && then.get(key)?.due_on === row.due_on).length;
		for (const { duty, unchanged } of doc.preview.duties) assert.equal(unchanged, same(duty), duty);
	});

test("what is looser without a reason is refused by the preview too, as is who may not", async () => {
	const looser = { advanced_inspection_repeat_months: 14 };
	assert.equal((await officer.send("/rules/preview", looser, await version(), 422)).doc.errors[0].field, "reason");
	await officer.send("/rules/preview", looser, null, 428);
	await inspector.send("/rules/preview", looser, await version().catch(() => 1), 403);
});

test("in the browser: typed, refused, shown, and only then changed", async () => {
	const chrome = await browser(), page = await (await chrome.newContext({ javaScriptEnabled: false, viewport: { width: 360, height: 740 } })).newPage();
	await signIn(page, department, "3003");
	await page.goto(department.url + "/rules");
	assert.ok(!await page.isVisible("#f-advanced_inspection_repeat_months"), "the many numbers are folded away");
	await page.click("summary >> text=Times of the department's own");
	await page.fill("#f-advanced_inspection_repeat_months", "14");
	await page.fill("#f-own_rules_name", "Harbor rules");
	await page.click("text=Show what it would do");
	await page.waitForSelector(".error-summary");
	assert.ok(await page.isVisible("#f-advanced_inspection_repeat_months"), "what was typed is in sight");
	assert.ok(!await page.isVisible("#f-limit_wash_water"));
	assert.equal(await page.inputValue("#f-advanced_inspection_repeat_months"), "14");
	assert.equal(await page.inputValue("#f-own_rules_name"), "Harbor rules");
	assert.equal(await page.locator("text=Change the rules now").count(), 0, "not before it was shown");
	await page.fill("#f-advanced_inspection_repeat_months", "10");
	await page.click("text=Show what it would do");
	await page.waitForSelector("text=duties move");
	assert.equal(await page.inputValue("#f-advanced_inspection_repeat_months"), "10", "nothing typed is lost");
	assert.ok(await page.evaluate(() => document.documentElement.scrollWidth) <= 360);
	const stored = entries();
	await page.click("text=Change the rules now");
	await page.waitForURL(/\/rules$/);
	assert.equal(entries(), stored + 1, "one transaction");
	assert.match(await page.textContent("main"), /Harbor rules/);
	for (const path of ["/duties", "/components/1/record"]) {
		await page.goto(department.url + path);
		assert.match(await page.textContent("main"), /By the rules: Harbor rules, after /, path);
	}
	await chrome.close();
});

test("limits: tightening is free, loosening asks for a reason, and field tests and cleanings follow", async () => {
	const limit = async (code) => (await officer.get("/rules")).limits.find((one) => one.code === code);
	assert.deepEqual([(await limit("water_time")).set_value, (await limit("water_time")).own_value], ["at least 15 s", null]);
	await officer.send("/rules", { limit_water_time: "20" }, await version());
	assert.deepEqual([(await limit("water_time")).own_value, (await limit("water_time")).effect], ["at least 20 s", "tighter"]);
	for (const [name, value] of [["limit_water_time", "14"], ["limit_wash_water", "106"], ["limit_ph_least", "5.9"], ["limit_cuff_gap", "1.01"]])
		assert.equal((await officer.send("/rules", { [name]: value }, await version(), 422)).doc.errors[0].field, "reason", name);
	for (const value of ["0", "151", "-1", "x"]) assert.equal((await officer.send("/rules", { limit_water_time: value }, await version(), 422)).doc.errors[0].field, "limit_water_time", value);
	await officer.send("/rules", { limit_lab_tpp: "20" }, await version(), 422); // is no limit of use
	await officer.send("/rules", { limit_wash_water: "110", reason: "The maker's label says so." }, await version());
	assert.deepEqual([(await limit("wash_water")).effect, (await limit("wash_water")).reason], ["looser", "The maker's label says so."]);
	const liner = Database.rows(department.data, "SELECT c.id, c.version FROM component c JOIN standing s ON s.component_id = c.id WHERE c.kind = 'coat_liner' AND s.state = 'in_service' LIMIT 1")[0];
	const water = { component: liner.id, test: "water", pressure: "1", unit: "psi", seconds: 19, material_spots: 3, seam_spots: 3, sign: false };
	const path = await inspector.post("/field-tests", water);
	assert.equal((await inspector.get(path)).field_test.result, "not_valid");
	await inspector.send(`/components/${liner.id}/cleanings`, { class: "routine", reason: "soiled", performed_by: "I", water: 110, water_unit: "f" }, liner.version);
	assert.match((await officer.get("/rules")).new_product.find((one) => one.code === "lab_thl").set_value, /205/);
});

test("a routine look is a duty on record where the department wants it", async () => {
	const routine = async () => (await inspector.get("/duties?duty=routine_inspection")).total;
	assert.equal(await routine(), 0);
	const { doc } = await officer.send("/rules/preview", { routine_after_exposure: "yes" }, await version());
	assert.ok(doc.preview.duties.find(({ duty }) => duty === "routine_inspection").added > 0);
	await officer.send("/rules", { routine_after_exposure: "yes" }, await version());
	assert.ok((await routine()) > 0);
	await officer.send("/rules", { routine_on_issue: "yes" }, await version());
	await officer.send("/rules", { routine_on_issue: "no", routine_after_exposure: "no" }, await version());
	assert.equal(await routine(), 0);
	// At the beginning of duty: of what members hold, so many days after the last look.
	await officer.send("/rules", { routine_duty_days: 3 }, await version());
	const { rows: [duty] } = await inspector.get("/duties?duty=routine_inspection");
	assert.equal(duty.rule, "routine_at_duty_start");
	assert.match(duty.reason, /at the beginning of each duty period, here within 3 days\.$/);
	for (const value of [32, "x", -1]) assert.equal((await officer.send("/rules", { routine_duty_days: value }, await version(), 422)).doc.errors[0].field, "routine_duty_days");
	await officer.send("/rules", { routine_duty_days: 0 }, await version());
	assert.equal(await routine(), 0);
});

test("the risk assessment is reviewed every five years; the officer is told when that is over", async () => {
	const review = async (day, wanted) => officer.send("/rules", { risk_reviewed_on: day }, await version(), wanted);
	const page = async (client, path) => (await fetch(department.url + path, { headers: { accept: "text/html", authorization: `Bearer ${client.token}` } })).text();
	assert.equal((await officer.get("/rules")).risk_review_due_on, null, "not on record");
	assert.equal((await review("2099-01-01", 422)).doc.errors[0].field, "risk_reviewed_on");
	await review("2020-02-29");
	const { risk_review_due_on, is_risk_review_overdue } = await officer.get("/rules");
	assert.deepEqual([risk_review_due_on, is_risk_review_overdue], ["2025-02-28", true]);
	for (const path of ["/", "/rules"]) assert.match(await page(officer, path), /2025-02-28/, path);
	assert.doesNotMatch(await page(inspector, "/"), /Risk assessment/);
	await review(new Date().toISOString().slice(0, 10));
	assert.equal((await officer.get("/rules")).is_risk_review_overdue, false);
	assert.doesNotMatch(await page(officer, "/"), /Risk assessment/);
});
