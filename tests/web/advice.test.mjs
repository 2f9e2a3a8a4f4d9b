// Repair or replace: from the price table and a quote to advice with its arithmetic.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Department } from "./harness.mjs";
import { JsonClient, idOf, inspect } from "./inspecting.mjs";

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
