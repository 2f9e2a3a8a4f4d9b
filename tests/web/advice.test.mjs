// Repair or replace: from the price table and a quote to advice with its arithmetic.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Department, run } from "./harness.mjs";
import { JsonClient, earlier, idOf, inspect } from "./inspecting.mjs";
import { Database } from "./sqlite.mjs";

let department, inspector, officer, administrator;
before(async () => {
	department = new Department().fill();
	inspector = new JsonClient(department, department.token("2001"));
	officer = new JsonClient(department, department.token("2003"));
	administrator = new JsonClient(department, department.token("1001"));
	await department.start();
});
after(() => department?.finish());

const gloves = { kind: "gloves", hazard: "proximity", reflective: false };
const adviceOf = async (ticket) => (await inspector.get(ticket)).items[0].advice;
const outcomes = (advice) => [advice.outcome, ...advice.rules.map((rule) => rule.outcome)];

test("prices are the officer's: added, changed, listed, once a day", async () => {
	const at = await officer.post("/prices", { ...gloves, valid_from: "2020-01-01", price: "90.00", note: "An offer" });
	await officer.send("/prices", { ...gloves, valid_from: "2020-01-01", price: "80.00" }, null, 422);
	await officer.send("/prices", { ...gloves, valid_from: "2021-01-01", price: "0" }, null, 422);
	await officer.post("/prices", { ...gloves, valid_from: "2099-01-01", price: "500.00" });
	const { price, version } = await officer.get(at);
	assert.equal(price.price, 9000);
	await officer.send(at, { price: "100.00" }, version);
	await officer.send(at, { price: "110.00" }, version, 412);
	assert.deepEqual((await officer.get("/prices?kind=gloves&sort=price")).rows.map((row) => row.price_text), ["500.00", "100.00"]);
	assert.equal((await officer.get("/prices?q=offer")).total, 1);
	await inspector.send("/prices", { ...gloves, valid_from: "2022-01-01", price: "1" }, null, 403);
});

test("a quote on a ticket makes advice, by the price valid today", async () => {
	const component = await idOf(inspector, "PX-GLOVES");
	assert.deepEqual(outcomes((await inspector.get(`/components/${component}`)).advice), ["unknown", "unknown", "unknown"]);
	await inspect(inspector, "advanced", ["PX-GLOVES"], { "PX-GLOVES": { check_point: "seams", defect: "stitches_broken", outcome: "repair", override_reason: "The maker says how to sew it", zone: "left_palm", place: "Beside the thumb" } });
	const finding = (await inspector.get(`/dispatches/new?component=${component}`)).candidates[0].finding;
	const ticket = await inspector.post("/dispatches", { provider: 1, finding: [finding] });
	const quote = `${ticket}/items/${(await inspector.get(ticket)).items[0].id}/quote`;
	const enter = async (money, wanted) => inspector.send(quote, { quote: money }, (await inspector.get(ticket)).version, wanted);
	await enter("much", 422);
	await enter("50.01");
	let advice = await adviceOf(ticket);
	assert.deepEqual(outcomes(advice), ["replace", "unknown", "replace"]);
	assert.match(advice.rules[0].arithmetic, /price paid is not known/);
	assert.match(advice.rules[1].arithmetic, /50 % of the replacement price 100\.00 is 50\.00/);
	await enter("50.00");
	assert.deepEqual(outcomes(await adviceOf(ticket)), ["unknown", "unknown", "repair"]);
	const { version } = await administrator.get("/settings");
	await administrator.send("/settings", { repair_share_percent: 49 }, version);
	assert.deepEqual(outcomes(await adviceOf(ticket)), ["replace", "unknown", "replace"]);
	await officer.send(`/components/${component}`, { cost: "10000.00" }, (await officer.get(`/components/${component}`)).version);
	assert.deepEqual(outcomes(await adviceOf(ticket)), ["replace", "repair", "replace"]);
	await inspector.send(`${ticket}/items/999/quote`, { quote: "1.00" }, (await inspector.get(ticket)).version, 404);
	await inspector.send(`${ticket}/cancel`, {}, (await inspector.get(ticket)).version);
	await enter("40.00", 409);
});

test("of a single part its own price counts, from its day on, instead of that of its kind", async () => {
	const id = await idOf(officer, "SX-GLOVES"), at = `/components/${id}`, [today, tomorrow] = [0, -1].map(earlier);
	const page = () => officer.get(at), priced = async () => (await page()).prices.map((one) => [one.valid_from, one.price_text, one.note]);
	const enter = async (body, wanted, who = officer) => who.send(`${at}/prices`, body, (await page()).component.version, wanted);
	assert.deepEqual([(await page()).has_prices, (await page()).can.price], [false, true]);
	await enter({ price: "120.00" }, 403, inspector);
	for (const price of ["0", "much", "-1", ""]) assert.equal((await enter({ price }, 422)).doc.errors[0].field, "price");
	await enter({ price: "120.00", valid_from: "2026-02-30" }, 422);
	await officer.send(`${at}/prices`, { price: "120.00" }, null, 428);
	await officer.post("/prices", { kind: "gloves", hazard: "structural", reflective: false, valid_from: "2020-01-01", price: "100.00" });
	await enter({ price: "900.00", valid_from: tomorrow });
	await enter({ price: "250.00", note: "offer" });
	await enter({ price: "240.00", note: "second offer" });
	assert.deepEqual(await priced(), [[tomorrow, "900.00", null], [today, "240.00", "second offer"]], "the same day is corrected");
	assert.deepEqual((await inspector.get(at)).prices, []);

	await inspect(inspector, "advanced", ["SX-GLOVES"], { "SX-GLOVES": { check_point: "seams", defect: "stitches_broken", outcome: "repair", override_reason: "The maker says how to sew it", zone: "left_palm", place: "Beside the thumb" } });
	const [{ finding }] = (await inspector.get(`/dispatches/new?component=${id}`)).candidates.filter((one) => one.tag === "SX-GLOVES");
	const ticket = await inspector.post("/dispatches", { provider: 1, finding: [finding] });
	for (const quote of ["119.00", "121.00"])
		await inspector.send(`${ticket}/items/${(await inspector.get(ticket)).items[0].id}/quote`, { quote }, (await inspector.get(ticket)).version);
	assert.match((await adviceOf(ticket)).rules[1].arithmetic, /^The quote is 121\.00; \d+ % of the replacement price 240\.00 is/);
	for (const path of [at, `${at}/prices`]) {
		const html = await department.json(path, { token: officer.token, headers: { accept: "text/html" } });
		assert.equal(html.status, 200, path);
		assert.match(html.text, path === at ? /240\.00 from <span class="day">[\d-]+<\/span> on: second offer/ : /counts instead of the price of its kind/);
	}
});

test("what retirements will cost is counted at the price of the part itself", async () => {
	const tag = "OLD-HOOD", made = earlier(3470).slice(0, 7); // half a year to the ten
	const cost = async () => { const { retirements } = await officer.get("/duties"); return retirements.map((row) => [row.at_replacement, row.cost]); };
	const before = await cost();
	await officer.post("/components", { tag, kind: "hood", hazard: "structural", station: 1, made, in_service_on: "2020-01-01", maker: "Harrow and Pell" });
	const unpriced = await cost();
	assert.deepEqual(unpriced.length, before.length + 1, "it is retired within the year");
	const id = await idOf(officer, tag);
	await officer.send(`/components/${id}/prices`, { price: "77.00" }, (await officer.get(`/components/${id}`)).component.version);
	assert.deepEqual((await cost()).filter((row) => !unpriced.some((old) => String(old) === String(row))), [[1, "77"]]);
});

test("prices stand in the menu of those who may see them", async () => {
	const menu = async (client) => (await department.json("/", { token: client.token, headers: { accept: "text/html" } })).text.includes('href="/prices"');
	assert.deepEqual([await menu(inspector), await menu(officer), await menu(administrator)], [false, true, true]);
});

test("a copy made of tables has the prices and quotes, and gives the same advice", async () => {
	const copy = department.copy();
	for (const sql of ["SELECT kind, hazard, reflective, valid_from, price_cents, note FROM replacement_price ORDER BY 1, 2, 3, 4",
		"SELECT c.tag, p.valid_from, p.price_cents, p.note FROM component_price p JOIN component c ON c.id = p.component_id ORDER BY 1, 2",
		"SELECT d.number, q.quoted_on, q.quote_cents FROM repair_quote q JOIN dispatch_item i ON i.id = q.dispatch_item_id JOIN dispatch d ON d.id = i.dispatch_id ORDER BY q.id"]) {
		const rows = Database.rows(department.data, sql);
		assert.ok(rows.length > 1);
		assert.deepEqual(Database.rows(copy.data, sql), rows);
	}
	const tables = Object.fromEntries(["quotes", "prices", "component_prices"].map((kind) => [kind, run(["export", "--data", department.data, "--kind", kind])]));
	for (const [kind, table] of Object.entries(tables)) {
		assert.match(copy.import(kind, table).out, / 0 stored/, kind);
		const [header, ...rows] = table.trimEnd().split("\r\n"), column = header.split(",").indexOf(kind === "quotes" ? "quote" : "price");
		const other = (value) => `${header}\n${rows[0].split(",").map((cell, i) => (i === column ? value : cell))}\n`;
		assert.match(copy.import(kind, other("12345.00")).err, /on record with other values/, kind);
		if (kind === "quotes") continue;
		assert.match(copy.import(kind, other("0")).err, /column price: .* must be at least 0\.01/, kind);
		assert.match(copy.import(kind, other("12345.00"), ["--update"]).out, /1 stored/, kind);
		assert.match(run(["export", "--data", copy.data, "--kind", kind]), /12345\.00/);
	}
	const [header, ...rows] = tables.quotes.trimEnd().split("\r\n"), cells = rows.at(-1).split(","), at = (name) => header.split(",").indexOf(name);
	const quote = (name, value) => copy.import("quotes", `${header}\n${cells.map((cell, i) => (i === at(name) ? value : cell))}\n`);
	assert.match(quote("turn", "9").err, /column turn: Quote 3 for it comes first/);
	assert.match(quote("turn", "3").out, /1 stored/);
	assert.match(quote("number", "R-NONE").err, /column number: There is no ticket "R-NONE" with this finding/);
	assert.match(quote("check_point", "label").err, /column reference: .* has no such finding/);
	assert.match(run(["verify", "--data", copy.data]), /holds/);
	copy.remove();
});
