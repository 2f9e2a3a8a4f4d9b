// Who may do what: each way to record work refuses whom it is not open to, with the rule, by
// form, by JSON and in tables; the class of who did it stands in the record.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Database } from "./sqlite.mjs";
import { Department, attempt, run } from "./harness.mjs";
import * as inspecting from "./inspecting.mjs";
import { FormClient, JsonClient, componentOf, earlier, idOf } from "./inspecting.mjs";

let department, client, form, officer, wearer, administrator;
before(async () => {
	department = new Department().fill();
	client = new JsonClient(department, department.token("2001"));
	officer = new JsonClient(department, department.token("2003"));
	wearer = new JsonClient(department, department.token("2002"));
	administrator = new JsonClient(department, department.token("1001"));
	await department.start();
	form = await new FormClient(department, client.token).signIn("2001");
});
after(() => department?.finish());

const verified = async (is) => administrator.send("/settings", { verified_organization: is }, (await administrator.get("/settings")).version);
const rows = (sql) => Database.rows(department.data, sql);
const count = (table) => Database.count(department.data, table);

/** Refused alike by JSON and by form, at that field (null: as a conflict), and nothing is stored. */
async function refused(path, body, version, field, says) {
	const before = count("audit_entry");
	const { doc } = await client.send(path, body, version, field ? 422 : 409);
	const message = field ? doc.errors.find((one) => one.field === field)?.message : doc.detail;
	assert.match(message ?? JSON.stringify(doc), says);
	const page = await form.submit(path, body, version);
	assert.equal(page.status, field ? 422 : 409, page.text.slice(0, 500));
	assert.match(page.text, says);
	assert.equal(count("audit_entry"), before);
}
async function change(path, body) {
	const page = await officer.get(path);
	await officer.send(path, body, page.version ?? page.provider?.version ?? page.member?.version);
}
const train = async (trained_until) => change(`/members/${(await client.get("/members?q=2001")).rows[0].id}`, { trained_until });
const provider = async (code) => rows(`SELECT id FROM provider WHERE code = '${code}'`)[0].id;
let cleanings = 0;
async function clean(tag, body) {
	const id = await idOf(client, tag);
	await client.post(`/components/${id}/cleanings`, { reason: `use, the ${++cleanings}th`, performed_by: "Ines Okafor", ...body }, (await componentOf(client, tag)).version);
	return rows("SELECT performer_class, sanitized FROM cleaning ORDER BY id DESC LIMIT 1")[0];
}
const refusedCleaning = async (tag, body, field, says) =>
	refused(`/components/${await idOf(client, tag)}/cleanings`, { reason: "use", performed_by: "somebody", ...body }, (await componentOf(client, tag)).version, field, says);

const member = /\(member\) may not do this .*: a member or wearer does routine inspections and routine cleanings only \(/;

test("a login of a member begins and signs nothing but routine inspections", async () => {
	const answer = await wearer.send("/inspections", { kind: "advanced", component: [await idOf(client, "SX-HOOD")] }, null, 403);
	assert.match(answer.doc.detail, /Advanced inspection is done by trained inspectors/);
	await inspecting.inspect(wearer, "routine", ["SX-HOOD"]);
	assert.equal(rows("SELECT performer_class AS class FROM inspection WHERE state = 'signed' ORDER BY id DESC LIMIT 1")[0].class, "member");
});

for (const kind of ["advanced", "liner"])
	test(`whose training ended is a member that day: ${kind}`, async () => {
		const id = await inspecting.begin(client, kind, "PX-COAT-LINER");
		await inspecting.answer(client, id);
		const version = (await client.get(`/inspections/${id}/review`)).inspection.version;
		await train("2020-06-30");
		const work = kind === "liner" ? /complete liner inspection/ : /advanced inspection/;
		for (const says of [member, work, /valid until 2020-06-30/]) await refused(`/inspections/${id}/signature`, { confirmed: true }, version, null, says);
		await train("");
		await refused(`/inspections/${id}/signature`, { confirmed: true }, version, null, /not on record/);
		await train("2099-06-30");
		await inspecting.sign(client, id);
		const { inspection } = await client.get(`/inspections/${id}`);
		assert.deepEqual([inspection.performer_class, inspection.performer_remark], ["trained_organization", "manufacturer-trained"]);
		const page = await fetch(`${department.url}/inspections/${id}`, { headers: { accept: "text/html", cookie: form.cookie } });
		assert.match(await page.text(), /by Ines Okafor, badge 2001, manufacturer-trained\./);
	});

test("a cleaning beyond the routine one is recorded by who did it and is trained, or of a provider", async () => {
	await train("2020-06-30");
	await refusedCleaning("PX-HOOD", { class: "advanced" }, "class", member);
	await refusedCleaning("PX-HOOD", { class: "specialized" }, "class", member);
	assert.equal((await clean("PX-HOOD", { class: "routine" })).performer_class, "member");
	assert.equal((await clean("PX-HOOD", { class: "advanced", on: "2020-06-30" })).performer_class, "trained_organization", "on that day it was valid");
	await train("2099-06-30");
	assert.equal((await clean("PX-HOOD", { class: "advanced" })).performer_class, "trained_organization");
	const page = await fetch(`${department.url}/components/${await idOf(client, "PX-HOOD")}`, { headers: { accept: "text/html", cookie: form.cookie } });
	assert.match(await page.text(), /Ines Okafor, manufacturer-trained/);
	const wash = await provider("WASH");
	await refusedCleaning("PX-HOOD", { class: "specialized", provider: wash }, "provider",
		/Clearwater Wash \(verified cleaner\) may not do this specialized cleaning: a verified cleaner does advanced cleaning and sanitization only/);
	const washed = await clean("PX-HOOD", { class: "advanced", provider: wash, sanitized: true });
	assert.deepEqual(washed, { performer_class: "verified_cleaner", sanitized: 1 });
	await refusedCleaning("PX-HOOD", { class: "advanced", sanitized: true }, "sanitized", /\(manufacturer-trained\) may not do this sanitization/);
	const life = async (tag) => (await fetch(`${department.url}/components/${await idOf(client, tag)}`, { headers: { accept: "text/html", cookie: form.cookie } })).text();
	assert.equal((await clean("PX-HELMET", { class: "advanced", sanitized: true })).sanitized, 1, "what is hard is disinfected by whoever may clean it");
	assert.match(await life("PX-HELMET"), /advanced, disinfected/);
	assert.match(await life("PX-HOOD"), /advanced, sanitized/);
	await refusedCleaning("PX-HOOD", { class: "advanced", provider: 99 }, "provider", /Choose a provider from the list/);
});

test("whose verification had ended on that day is of no class", async () => {
	const id = await provider("WASH");
	await change(`/providers/${id}`, { verified_until: "2026-01-31" });
	await refusedCleaning("PX-HOOD", { class: "advanced", provider: id }, "provider", /Clearwater Wash was verified until 2026-01-31/);
	assert.equal((await clean("PX-HOOD", { class: "advanced", provider: id, on: "2026-01-31" })).performer_class, "verified_cleaner");
	await change(`/providers/${id}`, { verified_until: "2099-01-31" });
});

test("where the department is verified, it does all of it in-house", async () => {
	const made = await officer.post("/providers", { code: "SHOP", name: "Own workshop", class: "trained_organization", in_house: true });
	const shop = await provider("SHOP"), wash = await provider("WASH");
	assert.match(made, new RegExp(`/${shop}$`));
	for (const [code, fields] of [["OWN", { class: "verified_provider" }], ["OWN", { class: "verified_cleaner" }]]) {
		const no = await officer.send("/providers", { code, name: code, in_house: true, ...fields }, null, 422);
		assert.deepEqual(no.doc.errors.map((one) => one.field), ["in_house"]);
	}
	// The burn is an advanced repair; the soiled hood is for a cleaner.
	await inspecting.inspect(client, "advanced", ["PX-COAT-SHELL"], { "PX-COAT-SHELL": { check_point: "aluminized", defect: "burnt", outcome: "repair", zone: "chest" } });
	const open = async (tag) => (await client.get("/dispatches/new")).candidates.filter((one) => one.tag === tag).map((one) => one.finding);
	const finding = await open("PX-COAT-SHELL");
	assert.equal(finding.length, 1);
	await refused("/dispatches", { provider: shop, finding }, null, "finding", /Burnt.* of PX-COAT-SHELL: Own workshop \(manufacturer-trained\) may not do this advanced repair/);
	await refused("/dispatches", { provider: wash, finding }, null, "finding", /Clearwater Wash \(verified cleaner\) may not do this advanced repair: .* its inspections and repairs do not count/);
	await verified(true);
	assert.equal((await clean("PX-HOOD", { class: "advanced", sanitized: true })).performer_class, "verified_organization");
	const ticket = await client.post("/dispatches", { provider: shop, finding });
	await verified(false);
	const { version } = await client.get(ticket);
	await refused(`${ticket}/send`, {}, version, "provider", /may not do this advanced repair/);
	await verified(true);
	await client.post(`${ticket}/send`, {}, version);
	const back = await client.get(`${ticket}/return`), result = { [`result.${back.items[0].id}`]: "repaired" };
	await verified(false);
	await refused(`${ticket}/return`, result, back.version, `result.${back.items[0].id}`, /may not do this advanced repair/);
	await verified(true);
	await client.post(`${ticket}/return`, result, back.version);
	assert.equal((await client.get(ticket)).dispatch.performer_remark, "of a verified organization");
	await inspecting.inspect(client, "return", ["PX-COAT-SHELL"]);
	assert.equal((await componentOf(client, "PX-COAT-SHELL")).state, "in_service");
	await verified(null);
});

test("a cleaner gets tickets for cleaning only, and finds no fault", async () => {
	const wash = await provider("WASH");
	await inspecting.inspect(client, "advanced", ["SX-GLOVES"], { "SX-GLOVES": { check_point: "soiling", defect: "soiled", outcome: "clean", zone: "left_palm" } });
	const page = await client.get("/dispatches/new"), finding = page.candidates.filter((one) => one.tag === "SX-GLOVES").map((one) => one.finding);
	assert.ok(page.form.find((one) => one.name === "provider").options.some((one) => one.label === "Clearwater Wash"), "there is something to clean");
	const ticket = await client.post("/dispatches", { provider: wash, finding });
	await client.post(`${ticket}/send`, {}, (await client.get(ticket)).version);
	const back = await client.get(`${ticket}/return`), field = `result.${back.items[0].id}`;
	await refused(`${ticket}/return`, { [field]: "no_fault_found" }, back.version, field, /verified cleaner\) may not do this advanced inspection/);
	await client.post(`${ticket}/return`, { [field]: "repaired" }, back.version);
	assert.deepEqual(rows("SELECT performer_class AS class FROM dispatch ORDER BY id DESC LIMIT 1"), [{ class: "verified_cleaner" }]);
});

test("a field test is an inspection's: who is not trained, or cleans only, does none", async () => {
	const light = async (more) => ({ component: await idOf(client, "SX-COAT-LINER"), test: "light", sign: false, ...more });
	await refused("/field-tests", await light({ provider: await provider("WASH") }), null, "provider", /Clearwater Wash \(verified cleaner\) may not do this advanced inspection/);
	await train("2020-06-30");
	await refused("/field-tests", await light(), null, "performed_by", member);
	await train("2099-06-30");
	const at = await client.post("/field-tests", await light());
	assert.equal((await client.get(at)).field_test.performer_remark, "manufacturer-trained");
});

test("officers see the table with its sources; the department's class is its own", async () => {
	const page = await officer.get("/rules"), { works, classes } = page.who_may;
	assert.deepEqual([works.length, classes.length], [9, 6]);
	for (const one of classes)
		for (const [i, work] of one.works.entries()) {
			assert.ok(work.source && ["high", "medium"].includes(work.confidence), `${one.word} ${work.label}`);
			assert.equal(works[i].cells.find((cell) => cell.class_label === one.label).allowed, work.allowed);
		}
	assert.equal(page.who_may.department_label, "Manufacturer-trained organization");
	await verified(true);
	assert.equal((await officer.get("/rules")).who_may.department_label, "Verified organization");
	await verified(null);
	await client.send("/rules", undefined, null, 403);
});

const tables = [
	["a cleaner's specialized cleaning", "cleanings", "tag,cleaned_on,class,reason,performed_by,provider", "SX-HOOD,2026-02-01,specialized,blood,Wash,WASH", /column performer_class: Clearwater Wash \(verified cleaner\) may not do this specialized cleaning/],
	["a member's advanced cleaning", "cleanings", "tag,cleaned_on,class,reason,performed_by,performer_class", "SX-HOOD,2026-02-01,advanced,soot,Bo,member", /column performer_class: Who did it \(member\) may not do this advanced cleaning/],
	["a trained department's disinfection", "cleanings", "tag,cleaned_on,class,reason,performed_by,performer_class,sanitized", "SX-HELMET,2026-02-01,advanced,soot,Bo,member,yes", /column performer_class: .* may not do this advanced cleaning/],
	["a trained department's sanitization", "cleanings", "tag,cleaned_on,class,reason,performed_by,performer_class,sanitized", "SX-HOOD,2026-02-01,advanced,soot,Bo,trained_organization,yes", /column sanitized: .* may not do this sanitization/],
	["a cleaner after its verification", "cleanings", "tag,cleaned_on,class,reason,performed_by,provider", "SX-HOOD,2026-02-01,advanced,soot,Wash,LATE", /column performer_class: Late Wash was verified until 2025-12-31/],
	["a cleaner's inspection", "inspections", "reference,kind,inspected_on,inspector,performer,tag,conclusion,performer_class", "C-1,advanced,2026-02-01,2001,Clearwater Wash,SX-HOOD,return_to_service,verified_cleaner", /column performer_class: Who did it \(verified cleaner\) may not do this advanced inspection: .* its inspections and repairs do not count/],
	["a cleaner's routine inspection", "inspections", "reference,kind,inspected_on,inspector,performer,tag,conclusion,performer_class", "C-1,routine,2026-02-01,2001,Clearwater Wash,SX-HOOD,return_to_service,verified_cleaner", /may not do this routine inspection/],
	["a wearer's advanced inspection", "inspections", "reference,kind,inspected_on,inspector,tag,conclusion", "C-1,advanced,2026-02-01,2002,SX-HOOD,return_to_service", /column performer_class: Bo Larsen \(member\) may not do this advanced inspection: .*not on record/],
	["a cleaner's repair", "repairs", "number,provider,state,created_on,created_by,sent_on,returned_on,reference,tag,check_point,defect,result", "C-T,WASH,returned,2026-03-02,2001,2026-03-03,2026-03-08,S-1,SX-COAT-SHELL,heat,charred,repaired", /column performer_class: Clearwater Wash \(verified cleaner\) may not do this (basic|advanced) repair/],
	["that a cleaner found no fault", "repairs", "number,provider,state,created_on,created_by,sent_on,returned_on,reference,tag,check_point,defect,result", "C-T,WASH,returned,2026-03-02,2001,2026-03-03,2026-03-08,S-1,SX-COAT-SHELL,heat,charred,no_fault_found", /may not do this advanced inspection/],
	["a repair sent to a cleaner", "repairs", "number,provider,state,created_on,created_by,sent_on,reference,tag,check_point,defect", "C-T,WASH,sent,2026-03-02,2001,2026-03-03,S-1,SX-COAT-SHELL,heat,charred", /column provider: Clearwater Wash \(verified cleaner\) may not do this/],
	["an advanced repair of a trained organization", "repairs", "number,provider,state,created_on,created_by,sent_on,returned_on,reference,tag,check_point,defect,result,performer_class", "C-T,REMEND,returned,2026-03-02,2001,2026-03-03,2026-03-08,S-1,SX-COAT-LINER,barrier,hole,repaired,trained_organization", /column performer_class: Remend Works \(manufacturer-trained\) may not do this advanced repair/],
	["a performer before it came back", "repairs", "number,provider,state,created_on,created_by,sent_on,reference,tag,check_point,defect,performer_class", "C-T,REMEND,sent,2026-03-02,2001,2026-03-03,S-1,SX-COAT-SHELL,heat,charred,verified_provider", /column performer_class: Nobody has done it/],
	["a cleaner's field test", "field_tests", "tag,test,tested_on,performed_by,provider,recorded_by,sign", "SX-COAT-LINER,light,2026-03-01,Wash,WASH,2001,no", /column performer_class: Clearwater Wash \(verified cleaner\) may not do this advanced inspection/],
	["an own workshop of another class", "providers", "code,name,class,in_house", "OTHER,Other,manufacturer,yes", /column in_house: The department's own workshop is entered as/],
];
test("tables: what those findings and providers need is on record", async () => {
	await department.stop();
	const wrong = attempt(["setting", "--data", department.data, "--name", "verified_organization", "--value", "perhaps"]);
	assert.match(wrong.err, /Say yes or no/);
	const give = (kind, table) => { const result = department.import(kind, table); assert.equal(result.code, 0, result.err); };
	give("providers", "code,name,class,verified_until\nLATE,Late Wash,verified_cleaner,2025-12-31\n");
	give("inspections", "reference,kind,inspected_on,inspector,tag,conclusion\nS-1,advanced,2026-03-01,2001,SX-COAT-SHELL,out_of_service\nS-1,advanced,2026-03-01,2001,SX-COAT-LINER,out_of_service\n");
	const at = "reference,tag,check_point,defect,zone,severity,outcome,state\n";
	give("findings", `${at}S-1,SX-COAT-SHELL,heat,charred,chest,major,repair,open\nS-1,SX-COAT-LINER,barrier,hole,chest,major,repair,open\n`);
});
for (const [name, kind, columns, row, says] of tables)
	test(`refused in tables: ${name}`, () => {
		const before = count("audit_entry"), result = department.import(kind, `${columns}\n${row}\n`);
		assert.equal(result.code, 1, result.out);
		assert.match(result.err, says);
		assert.equal(count("audit_entry"), before);
	});

test("tables carry the class, and say where nobody knows it", () => {
	const give = (kind, table, out = /1 stored/) => assert.match(department.import(kind, table).out, out);
	give("inspections", "reference,kind,inspected_on,inspector,tag,conclusion,performer_class\nOLD-1,advanced,2019-02-01,2002,SX-HOOD,return_to_service,unknown\n");
	give("inspections", "reference,kind,inspected_on,inspector,performer,tag,conclusion,performer_class\nOLD-2,liner,2020-02-01,2002,Remend Works,SX-COAT-LINER,return_to_service,verified_provider\n");
	give("cleanings", `tag,cleaned_on,class,reason,performed_by,provider,sanitized\nSX-HOOD,${earlier(3)},advanced,soot,Wash,WASH,yes\n`);
	give("repairs", "number,provider,state,created_on,created_by,sent_on,returned_on,reference,tag,check_point,defect,result\nC-OK,REMEND,returned,2026-03-02,2001,2026-03-03,2026-03-08,S-1,SX-COAT-LINER,barrier,hole,repaired\n");
	assert.deepEqual(rows("SELECT performer_class AS class FROM inspection WHERE reference LIKE 'OLD-%' ORDER BY reference").map((row) => row.class), [null, "verified_provider"]);
	const copy = department.copy();
	for (const kind of ["providers", "cleanings", "inspections", "repairs"]) {
		const table = run(["export", "--data", department.data, "--kind", kind]);
		assert.match(table.split("\n")[0], kind === "providers" ? /in_house/ : /performer_class/);
		if (kind === "inspections") continue; // those made here are named otherwise there
		assert.equal(run(["export", "--data", copy.data, "--kind", kind]).replaceAll(/PW-\w+-\d+/g, ""), table.replaceAll(/PW-\w+-\d+/g, ""), kind);
	}
	const classes = "SELECT performer_class AS class, count(*) AS n FROM inspection WHERE state = 'signed' GROUP BY 1 ORDER BY 1";
	assert.deepEqual(Database.rows(copy.data, classes), rows(classes));
	copy.remove();
});
