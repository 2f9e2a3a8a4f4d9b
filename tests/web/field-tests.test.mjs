// Field tests: what was measured, what that came to, and what follows from it.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import * as inspecting from "./inspecting.mjs";
import { componentOf, idOf, earlier, staffed } from "./inspecting.mjs";

let department, client, officer, member, today;
before(async () => {
	({ department, inspector: client, member, officer } = await staffed());
	today = new Date().toISOString().slice(0, 10);
});
after(() => department?.finish());

const leakage = { test: "leakage", alcohol: "100", water: "600", amount: "240", unit: "ml", minutes: 3, seconds: 0, material_spots: 3, sign: false };
const water = { test: "water", pressure: "1", unit: "psi", seconds: 15, material_spots: 3, seam_spots: 3, sign: false };
const record = async (tag, body, who = client) => who.post("/field-tests", { component: await idOf(client, tag), ...body });
const refused = async (tag, body, field) => {
	const answer = await client.send("/field-tests", { component: await idOf(client, tag), ...body }, null, 422);
	assert.equal(answer.doc.errors[0].field, field, answer.text);
	return answer.doc.errors[0].message;
};
const resultOf = async (path) => (await client.get(path)).field_test.result;
const codes = async (tag) => (await componentOf(client, tag)).blockers.map((blocker) => blocker.code);
const duty = async (tag, name) => (await client.get(`/components/${await idOf(client, tag)}`)).duties.find((one) => one.duty === name);

test("leakage: the mixture, the amount and three minutes, or it is no test", async () => {
	const results = {};
	for (const [name, more] of Object.entries({ mixed: {}, cups: { alcohol: "8", water: "48", amount: "8", unit: "fl_oz" }, short: { minutes: 2, seconds: 50 },
		weak: { water: "800" }, little: { amount: "200" } })) results[name] = await resultOf(await record("PX-COAT-LINER", { ...leakage, ...more }));
	assert.deepEqual(results, { mixed: "pass", cups: "pass", short: "not_valid", weak: "not_valid", little: "not_valid" });
	assert.deepEqual(await codes("PX-COAT-LINER"), []);
});

test("water under pressure: a droplet fails it; less pressure or time is neither a pass nor a failure", async () => {
	assert.equal(await resultOf(await record("SX-COAT-LINER", { ...water, tested_on: earlier(9), pressure: "0.8", sign: true })), "not_valid");
	assert.deepEqual(await codes("SX-COAT-LINER"), [], "it says nothing");
	assert.match((await duty("SX-COAT-LINER", "leak_test")).reason, /wetted through .* do it again/);
	assert.equal(await resultOf(await record("SX-COAT-LINER", { ...water, tested_on: earlier(9), seconds: 10 })), "not_valid");
	const path = await record("SX-COAT-LINER", { ...water, tested_on: earlier(8), pressure: "6.9", unit: "kpa", sign: true, zone: "back", extent: "pinhole" });
	assert.equal(await resultOf(path), "fail");
	assert.deepEqual(await codes("SX-COAT-LINER"), ["field_test"]);
	const page = await client.get(`/components/${await idOf(client, "SX-COAT-LINER")}`);
	assert.equal(page.component.blockers[0].url, path);
	assert.equal(page.component.state, "out_of_service");
	assert.deepEqual(page.field_tests.map((one) => one.result), ["fail", "not_valid", "not_valid"]);
	await record("SX-COAT-LINER", { ...water, tested_on: earlier(8) });
	await record("SX-COAT-LINER", { ...leakage, tested_on: earlier(1) });
	assert.deepEqual(await codes("SX-COAT-LINER"), ["field_test"], "of one day the failure stands, and no other test speaks for it");
	await record("SX-COAT-LINER", { ...water, tested_on: earlier(1) });
	assert.deepEqual(await codes("SX-COAT-LINER"), []);
});

test("trim beside a new sample from far enough, seams, gaps in inches and centimetres", async () => {
	const shell = await componentOf(officer, "SX-COAT-SHELL");
	await officer.post(`/components/${shell.id}`, { trim: true }, shell.version);
	const trim = { test: "trim", distance: "40", unit: "ft", compared: true, sign: false };
	assert.equal(await resultOf(await record("SX-COAT-SHELL", trim)), "pass");
	for (const more of [{ compared: false }, { distance: "11.9", unit: "m" }]) assert.equal(await resultOf(await record("SX-COAT-SHELL", { ...trim, ...more })), "not_valid");
	assert.equal(await resultOf(await record("SX-COAT-SHELL", { ...trim, tested_on: earlier(3), sign: true })), "fail");
	assert.deepEqual(await codes("SX-COAT-SHELL"), [], "a later one passed");
	const shiny = await client.send("/field-tests", { component: await idOf(client, "SX-HELMET"), test: "light", sign: false }, null, 409);
	assert.match(shiny.doc.detail, /not done on a Helmet/);
	const gap = { test: "liner_gap", unit: "in", cuff_gap: "1.0", hem_gap: "3.0" };
	assert.equal(await resultOf(await record("SX-TROUSER-LINER", gap)), "pass");
	assert.equal(await resultOf(await record("PX-TROUSER-LINER", { ...gap, cuff_gap: "1.5" })), "fail");
	assert.equal(await resultOf(await record("PX-TROUSER-LINER", { ...gap, unit: "cm", cuff_gap: "2.54", hem_gap: "7.62" })), "pass");
	assert.deepEqual(await codes("PX-TROUSER-LINER"), ["field_test"]);
	assert.equal(await resultOf(await record("SX-GLOVES", { test: "seam", sign: true, place: "left cuff" })), "fail");
});

test("a light spot is a suspect: the liner is to be opened", async () => {
	assert.equal(await resultOf(await record("SX-TROUSER-LINER", { test: "light", sign: true, tested_on: earlier(1), zone: "left_knee" })), "suspect");
	const due = await duty("SX-TROUSER-LINER", "liner_inspection");
	assert.deepEqual([due.due_on, /found it suspect/.test(due.reason), /not a proof/.test(due.source)], [earlier(1), true, true]);
	await inspecting.inspect(client, "liner", ["SX-TROUSER-LINER"]);
	assert.notEqual((await duty("SX-TROUSER-LINER", "liner_inspection")).due_on, earlier(1));
});

test("looking once more with the light confirms nothing; the provider who sees no spot does", async () => {
	await record("PX-TROUSER-LINER", { test: "light", sign: true, tested_on: earlier(4), zone: "left_knee" });
	await record("PX-TROUSER-LINER", { test: "light", sign: false, tested_on: earlier(3) });
	assert.equal((await duty("PX-TROUSER-LINER", "liner_inspection")).due_on, earlier(4));
	await record("PX-TROUSER-LINER", { test: "light", sign: false, tested_on: earlier(4), provider: 1, performed_by: "Remend Works" });
	assert.equal((await duty("PX-TROUSER-LINER", "liner_inspection")).due_on, earlier(4), "of one day the suspicion stands");
	await record("PX-TROUSER-LINER", { test: "light", sign: false, tested_on: earlier(2), provider: 1, performed_by: "Remend Works" });
	assert.notEqual((await duty("PX-TROUSER-LINER", "liner_inspection")).due_on, earlier(4));
});

test("a laboratory's value stands beside that of new product and blocks nothing", async () => {
	const path = await record("PX-COAT-SHELL", { test: "laboratory", property: "lab_tpp", value: "30", provider: 1, performed_by: "Laboratory of the maker" });
	const { field_test } = await client.get(path);
	assert.equal(field_test.result, "below");
	assert.match(field_test.because, /30 cal\/cm².*at least 35.*15 s/);
	assert.deepEqual(await codes("PX-COAT-SHELL"), []);
	await refused("PX-COAT-SHELL", { test: "laboratory", value: "30" }, "property");
	await refused("PX-COAT-SHELL", { test: "seam", sign: false, property: "lab_tpp" }, "property");
});

test("what is missing, does not belong, or nobody would believe is asked about", async () => {
	await refused("PX-COAT-LINER", { ...water, pressure: undefined }, "pressure");
	await refused("PX-COAT-LINER", { ...water, unit: "ml" }, "unit");
	await refused("PX-COAT-LINER", { ...water, unit: undefined }, "unit");
	await refused("PX-COAT-LINER", { ...water, seconds: undefined }, "minutes");
	await refused("PX-COAT-LINER", { ...water, sign: undefined }, "sign");
	await refused("PX-COAT-LINER", { ...water, alcohol: "3" }, "alcohol");
	await refused("PX-COAT-LINER", { ...water, zone: "moon" }, "zone");
	await refused("PX-COAT-LINER", { ...water, pressure: "-1" }, "pressure");
	await refused("PX-COAT-LINER", { ...water, provider: 99 }, "provider");
	await refused("PX-COAT-LINER", { ...water, tested_on: "2099-01-01" }, "tested_on");
	await refused("PX-COAT-LINER", { test: "liner_gap", unit: "in", cuff_gap: "1", seconds: 3 }, "seconds");
	await refused("PX-COAT-SHELL", { test: "seam", sign: false, confirmed: true, test_: 1 }, "test_");
	assert.match(await refused("PX-COAT-LINER", { ...water, pressure: "25" }, "confirmed"), /25 psi \(172.37 kPa\) is unusual/);
	await refused("PX-COAT-LINER", { ...water, pressure: "25", confirmed: true }, "note");
	assert.equal(await resultOf(await record("PX-COAT-LINER", { ...water, pressure: "25", confirmed: true, note: "A laboratory's pump was used." })), "pass");
	await member.send("/field-tests", { component: await idOf(client, "PX-COAT-LINER"), ...water }, null, 403);
});

test("contaminated and retired gear is not tested; what is recorded in error is taken back", async () => {
	const hood = await idOf(client, "PX-HOOD");
	await client.post("/exposures", { component: [hood], cause: "fuels", exposed_on: today });
	assert.match((await client.send("/field-tests", { component: hood, test: "seam", sign: false }, null, 409)).doc.detail, /contaminated: have it cleaned first/);
	const path = await record("SX-HOOD", { test: "seam", sign: true });
	assert.deepEqual(await codes("SX-HOOD"), ["field_test"]);
	const page = await officer.get(path);
	await client.send(`${path}/revoke`, { reason: "another hood" }, page.version, 403);
	await officer.post(`${path}/revoke`, { reason: "It was another hood." }, page.version);
	await officer.send(`${path}/revoke`, { reason: "Again." }, page.version + 1, 409);
	assert.deepEqual(await codes("SX-HOOD"), []);
	assert.equal((await client.get("/field-tests?state=revoked")).total, 1);
	assert.match((await department.json("/field-tests.csv?test=seam", { token: client.token })).text, /SX-HOOD,.*It was another hood\./);
});

test("a barrier that was mended owes a test", async () => {
	const tag = "SX2-COAT-LINER", all = { components: `tag,kind,hazard,station,maker,model,size,made,in_service_on\n${tag},coat_liner,structural,ST1,Harrow,M1,M,2024-02,2026-01-10\n`,
		inspections: `reference,kind,inspected_on,inspector,tag,conclusion\nR-1,advanced,${earlier(40)},2001,${tag},out_of_service\nR-2,return,${earlier(5)},2001,${tag},return_to_service\n`,
		findings: `reference,tag,check_point,defect,zone,face,side,severity,outcome,state,closed_on\nR-1,${tag},barrier,pinhole,back,,inside,major,repair,mended,${earlier(5)}\n` };
	await department.stop();
	for (const [kind, text] of Object.entries(all)) assert.equal(department.import(kind, text).code, 0, kind);
	await department.start();
	const due = await duty(tag, "leak_test");
	assert.deepEqual([due.due_on, /was worked on/.test(due.reason)], [earlier(5), true]);
	assert.equal((await client.get("/duties?duty=leak_test")).total, 1, "the number leads to it");
	await record(tag, { ...leakage, tested_on: earlier(6) });
	assert.ok(await duty(tag, "leak_test"), "one from before tells nothing");
	await record(tag, leakage);
	assert.equal(await duty(tag, "leak_test"), undefined);
});

test("a coat cleaned outside is looked at for its drag rescue device", async () => {
	const tag = "PX-COAT-SHELL";
	const { id, version } = await componentOf(client, tag);
	await client.post(`/components/${id}/cleanings`, { class: "advanced", reason: "soiled", performed_by: "Clearwater Wash", provider: 1, on: earlier(1) }, version);
	assert.match((await duty(tag, "drd_check")).reason, /drag rescue device is in it and rightly set/);
	await inspecting.inspect(client, "routine", [tag]);
	assert.equal(await duty(tag, "drd_check"), undefined);
});

test("in a table: measures as they are kept, the result worked out, never believed", async () => {
	await department.stop();
	const header = "tag,test,tested_on,performed_by,recorded_by,sign,pressure_pa,time_ms,material_spots,seam_spots,result,note\n";
	const row = (more) => `SX-COAT-LINER,water,${earlier(20)},R. Ames,2001,no,${more}\n`;
	const import_ = (more) => department.import("field_tests", header + row(more));
	assert.match(import_("3000,15000,3,3,pass,").err, /"not_valid".*Pressure: 0.44 psi/);
	assert.match(import_("6895,15000,3,,,").err, /nobody can say/);
	assert.match(import_("172369,15000,3,3,,").err, /25 psi .* is unusual/);
	assert.match(department.import("field_tests", header + row("6895,15000,3,3,,").replace("SX-COAT-LINER", "SX-HELMET")).err, /not done on such a part/);
	assert.equal(import_("6895,15000,3,3,pass,").code, 0);
	assert.match(import_("6895,15000,3,3,pass,").out, /1 rows, 0 stored/);
	await department.start();
	assert.equal((await client.get(`/field-tests?q=SX-COAT-LINER&sort=day`)).rows.at(-1).tested_on, earlier(20));
});
