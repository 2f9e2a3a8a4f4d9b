// Importing: on the command line and in the browser, with every sort of bad table.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { Database } from "./sqlite.mjs";
import { Department, browser, run, signIn } from "./harness.mjs";

let department, token;
before(async () => {
	department = new Department().fill();
	token = department.token("2003");
});
after(async () => {
	if (department.process?.exitCode === null && !department.process.killed) await department.stop();
	department.remove();
});

const count = (table) => Database.count(department.data, table);

// Ahead, the month too, in any time zone.
const ahead = new Date(Date.UTC(new Date().getUTCFullYear(), new Date().getUTCMonth() + 2, 1)).toISOString().slice(0, 10);
// name, kind, the table, what the fault must say
const bad = [
	["an unknown column", "stations", "code,name,color\nA,b,c\n", /line 1, column color: no such column/],
	["a missing column", "stations", "code\nA\n", /column name: this column is required/],
	["a column twice", "stations", "code,name,code\nA,b,C\n", /stands here twice/],
	["a missing value", "stations", "code,name\nA,b\n,c\n", /line 3, column code: Code is required/],
	["a wrong word", "members", "badge,family_name,given_name,station,status\n9,a,b,ST1,gone\n", /column status: .*one of: active, leave, left/],
	["an unknown reference", "members", "badge,family_name,given_name,station\n9,a,b,NONE\n", /column station: There is no station "NONE"/],
	["a day that is not ISO", "components", "tag,kind,hazard,station,in_service_on\nX,hood,structural,ST1,3/4/2021\n", /column in_service_on: .*2019-06-14/],
	["no such month", "components", "tag,kind,hazard,station,made\nX,hood,structural,ST1,2021-13\n", /column made/],
	["too few cells", "stations", "code,name\nA\n", /1 cells, but the header has 2/],
	["an open quote", "stations", 'code,name\nA,"b\n', /no closing quote/],
	["text behind a quote", "stations", 'code,name\nA,"b"c\n', /after a closing quote/],
	["a key twice", "stations", "code,name\nZ,b\nZ,c\n", /line 3, column code: "Z" is on record with other values/],
	["a record with other values", "stations", "code,name\nST1,Elsewhere\n", /"ST1" is on record with other values/],
	["an ensemble for the other hazard", "components", "tag,kind,hazard,station,ensemble\nX,hood,structural,ST1,PX-1\n", /other hazard/],
	["bad UTF-8", "stations", Buffer.from("code,name\nA,\xff\n", "latin1"), /not UTF-8/],
	["nothing", "stations", "", /empty/],
	["made ahead", "components", `tag,kind,hazard,station,made\nX,hood,structural,ST1,${ahead.slice(0, 7)}\n`, /column made: .* is in the future/],
	["in service ahead", "components", `tag,kind,hazard,station,in_service_on\nX,hood,structural,ST1,${ahead}\n`, /column in_service_on: .* is in the future/],
	["retired and disposed of ahead", "components", `tag,kind,hazard,station,retired_on,retired_reason,disposed_on,disposal_method\nX,hood,structural,ST1,${ahead},worn,${ahead},cut up\n`,
		/column retired_on: .* is in the future[^]*column disposed_on: .* is in the future/],
	["issued ahead", "components", `tag,kind,hazard,station,holder,issued_on\nX,hood,structural,ST1,2001,${ahead}\n`, /column issued_on: .* is in the future/],
	["given back ahead", "issues", `tag,badge,issued_on,condition,returned_on,condition_at_return\nPX-HOOD,2001,2025-01-01,good,${ahead},good\n`, /column returned_on: .* is in the future/],
	["cleaned ahead", "cleanings", `tag,cleaned_on,class,reason,performed_by\nPX-HOOD,${ahead},advanced,soiled,Wash\n`, /column cleaned_on: .* is in the future/],
	["inspected ahead", "inspections", `reference,kind,inspected_on,inspector,tag,conclusion\nA-1,advanced,${ahead},2001,PX-HOOD,return_to_service\n`, /column inspected_on: .* is in the future/],
	["closed ahead", "findings", `reference,tag,check_point,defect,severity,outcome,state,closed_on\nA-1,PX-HOOD,fabric,hole,major,replace,mended,${ahead}\n`, /column closed_on: .* is in the future/],
	["sent and back ahead", "repairs", `number,provider,state,created_on,created_by,sent_on,returned_on,reference,tag,check_point,defect,result\nT-1,REMEND,returned,${ahead},2001,${ahead},${ahead},A-1,PX-HOOD,fabric,hole,repaired\n`,
		/column created_on: .* is in the future[^]*column sent_on: .* is in the future[^]*column returned_on: .* is in the future/],
];
for (const [name, kind, table, says] of bad)
	test(`refused whole: ${name}`, () => {
		const before = count("audit_entry");
		const result = department.import(kind, table);
		assert.equal(result.code, 1);
		assert.match(result.err, says);
		assert.equal(count("audit_entry"), before);
	});

test("dates by the order said, tables as spreadsheets write them", () => {
	const table = "\uFEFFtag;kind;hazard;station;in_service_on;made;note\r\nD-1;hood;structural;ST1;3/4/2021;2/2021;\"two\r\nlines; and \"\"quotes\"\"\"\r\n";
	assert.equal(department.import("components", table, ["--date-order", "day_first", "--dry-run"]).code, 0);
	assert.equal(Database.rows(department.data, "SELECT * FROM component WHERE tag = 'D-1'").length, 0);
	assert.equal(department.import("components", table, ["--date-order", "day_first"]).code, 0);
	const [row] = Database.rows(department.data, "SELECT * FROM component WHERE tag = 'D-1'");
	assert.deepEqual([row.in_service_on, row.made, row.note], ["2021-04-03", "2021-02", 'two\r\nlines; and "quotes"']);
	assert.match(department.import("components", table, ["--date-order", "day_first"]).out, /1 rows, 0 stored/);
	assert.match(run(["verify", "--data", department.data]), /holds/);
});

// kind, table of the record, where it lies, a table of the key, the required columns and one change, what changes
const narrow = [
	["stations", "code,name,address,email,active\nNAR,Narrow,\"1 Quay\",n@example.org,no\n", "code = 'NAR'", "code,name\nNAR,Wide\n", { name: "Wide", search_key: "nar wide" }],
	["members", "badge,family_name,given_name,station,email,structural,proximity,trained_until,status\n77,Ash,Kim,ST1,k@example.org,no,yes,2031-01-01,leave\n", "badge = '77'",
		"badge,family_name,given_name,station,email\n77,Ash,Kim,ST1,kim@example.org\n", { email: "kim@example.org" }],
	["providers", "code,name,class,verified_until,email,phone,address,active\nNARP,Narrow Works,manufacturer,2031-01-01,n@example.org,555,Quay,no\n", "code = 'NARP'",
		"code,name,class,phone,email\nNARP,Narrow Works,manufacturer,556,\n", { phone: "556" }],
	["components", "tag,kind,hazard,station,ensemble,serial,maker,model,size,made,life_months,in_service_on,cbrn,trim,reflective,cost,note,line,withdrawn_reason\nNAR-1,coat_shell,proximity,ST1,NAR-E,S1,Harrow,M1,L,2020-02,96,2020-03-01,yes,yes,yes,12.50,mine,reserve,kept\n", "tag = 'NAR-1'",
		"tag,kind,hazard,station,size\nNAR-1,coat_shell,proximity,ST1,XL\n", { size: "XL" }],
];
for (const [kind, whole, where, table, change] of narrow)
	test(`what a table of ${kind} does not say stays as it is`, () => {
		const row = () => Database.rows(department.data, `SELECT * FROM ${kind.slice(0, -1)} WHERE ${where}`)[0];
		assert.equal(department.import(kind, whole).code, 0);
		const before = row();
		assert.match(department.import(kind, table, ["--update"]).out, /1 rows, 1 stored/);
		assert.deepEqual(row(), { ...before, ...change, version: before.version + 1 });
		assert.match(department.import(kind, table).out, /1 rows, 0 stored/);
	});

test("this month's label is no day ahead, and what is to come may be", () => {
	const month = new Date().toISOString().slice(0, 7);
	assert.equal(department.import("components", `tag,kind,hazard,station,made\nMONTH-1,hood,structural,ST1,${month}\n`).code, 0);
	assert.equal(department.import("members", `badge,family_name,given_name,station,trained_until\n78,Elm,Kim,ST1,${ahead}\n`).code, 0);
});

test("a holder in a table: issued when nobody has it, refused when somebody else has", () => {
	const header = "tag,kind,hazard,station,maker,made,in_service_on,holder,issued_on,condition\n", row = "HOLD-1,hood,structural,ST1,Harrow,2024-12,2025-01-01";
	const give = (rest) => department.import("components", header + row + rest + "\n", ["--update"]);
	const issues = () => Database.rows(department.data, "SELECT m.badge, i.issued_on, i.condition_at_issue AS condition FROM issue i JOIN member m ON m.id = i.member_id JOIN component c ON c.id = i.component_id WHERE c.tag = 'HOLD-1'");
	assert.equal(give(",,,").code, 0);
	assert.match(give(",2002,,").err, /column holder: Say since when/);
	assert.match(give(",2002,2025-02-01,good").out, /1 stored/);
	assert.deepEqual(issues(), [{ badge: "2002", issued_on: "2025-02-01", condition: "good" }]);
	assert.match(give(",2002,2025-02-01,good").out, /0 stored/);
	assert.match(give(",2001,2025-03-01,good").err, /column holder: It is issued to Bo Larsen. Take it back first/);
	assert.match(give(",2002,2025-03-01,").err, /column issued_on: It is issued to Bo Larsen since 2025-02-01/);
	assert.equal(issues().length, 1);
	assert.equal(department.import("components", header.replace("holder,issued_on,condition", "withdrawn_reason") + row.replace("HOLD-1", "HOLD-2") + ",kept\n").code, 0);
	assert.match(department.import("components", header + row.replace("HOLD-1", "HOLD-2") + ",2002,2025-02-01,good\n", ["--update"]).err, /column holder: It cannot be issued: /);
});

// --- history: added, never rewritten ---

const past = {
	cleanings: ["tag,cleaned_on,class,reason,performed_by,provider", "PX-HOOD,2026-02-01,advanced,soiled,Wash,WASH", "PX-HOOD,2026-02-01,advanced,soiled still,Wash,"],
	issues: ["tag,badge,issued_on,condition,returned_on,condition_at_return,note", "PX-HOOD,2002,2025-02-01,good,2025-03-01,good,", "PX-HOOD,2002,2025-03-01,good,2025-03-01,good,", "PX-HOOD,2002,2025-03-01,good,2025-04-01,good,"],
	inspections: ["reference,kind,inspected_on,inspector,performer,tag,conclusion", "H-1,advanced,2026-03-01,2001,,SX-COAT-SHELL,out_of_service", "H-1,advanced,2026-03-01,2001,,SX-COAT-LINER,return_to_service"],
	findings: ["reference,tag,check_point,defect,zone,place,severity,outcome,state,closed_on,note", "H-1,SX-COAT-SHELL,heat,charred,chest,,major,repair,open,,", "H-1,SX-COAT-SHELL,heat,charred,back,,major,repair,mended,2026-03-09,"],
	repairs: ["number,provider,state,created_on,created_by,sent_on,returned_on,reference,tag,check_point,defect,zone,result,cost",
		"H-T1,REMEND,returned,2026-03-02,2001,2026-03-03,2026-03-08,H-1,SX-COAT-SHELL,heat,charred,chest,not_repaired,", "H-T1,REMEND,returned,2026-03-02,2001,2026-03-03,2026-03-08,H-1,SX-COAT-SHELL,heat,charred,back,repaired,9.50"],
};
test("history goes in once; rows that say otherwise are told, also when updating", () => {
	for (const [kind, lines] of Object.entries(past)) {
		const table = lines.join("\n") + "\n", given = department.import(kind, table);
		assert.match(given.out, new RegExp(`${lines.length - 1} rows, ${lines.length - 1} stored`), kind + given.err);
		assert.match(department.import(kind, table, ["--update"]).out, / 0 stored/, kind);
	}
	const other = (column) => new RegExp(`column ${column}: This is on record with other values`);
	for (const [kind, row, column, cell, says] of [
		["cleanings", 1, "reason", "other", other("reason")], ["cleanings", 1, "provider", "REMEND", other("provider")],
		["issues", 1, "returned_on", "2025-02-20", other("returned_on")], ["issues", 1, "condition_at_return", "soiled", other("condition_at_return")],
		["inspections", 1, "kind", "liner", other("kind")], ["inspections", 2, "inspected_on", "2026-03-02", other("inspected_on")],
		["inspections", 2, "inspector", "2002", other("inspector")], ["inspections", 1, "conclusion", "return_to_service", other("conclusion")],
		["findings", 1, "severity", "minor", other("severity")], ["findings", 1, "note", "seen", other("note")],
		["findings", 1, "state", "accepted", /column state: .* keeps it out of service/], ["findings", 1, "state", "mended", /column closed_on: Say when it was mended/],
		["findings", 1, "closed_on", "2026-03-09", /column closed_on: It is open; it did not end/], ["findings", 2, "closed_on", "2026-02-09", /column closed_on: It ended before it was found/],
		["findings", 1, "outcome", "serve_on", /column state: .* keeps nothing open/], ["findings", 1, "tag", "SX-HOOD", /column tag: Inspection H-1 did not look at SX-HOOD/],
		["findings", 1, "reference", "H-9", /column reference: There is no inspection "H-9"/], ["findings", 1, "defect", "xyz", /column defect: The handbook has no such word/],
		["repairs", 1, "provider", "WASH", other("provider")], ["repairs", 1, "sent_on", "2026-03-04", other("sent_on")], ["repairs", 2, "cost", "9.60", other("cost")],
		["repairs", 1, "zone", "collar", /has no such finding/],
	]) {
		const cells = past[kind][row].split(",");
		cells[past[kind][0].split(",").indexOf(column)] = cell;
		const result = department.import(kind, past[kind][0] + "\n" + cells.join(",") + "\n", ["--update"]);
		assert.equal(result.code, 1, `${kind} ${column}`);
		assert.match(result.err, says);
	}
	const draft = `H-T1,REMEND,draft,2026-03-02,2001,,,H-1,SX-COAT-SHELL,heat,charred,chest,,`;
	assert.match(department.import("repairs", past.repairs[0] + "\n" + draft + "\n").err, other("state"));
	assert.match(run(["verify", "--data", department.data]), /holds/);
});

test("what was found makes the layers beneath due, until they were inspected", () => {
	const due = () => Database.rows(department.data, "SELECT c.tag FROM duty d JOIN component c ON c.id = d.component_id WHERE d.rule = 'layer_beneath' ORDER BY 1").map((row) => row.tag);
	assert.deepEqual(due(), ["SX-COAT-LINER", "SX-DRD"]);
	const give = (row) => assert.equal(department.import("inspections", past.inspections[0] + "\n" + row + "\n").code, 0);
	give("H-0,liner,2026-02-28,2001,,SX-COAT-LINER,return_to_service");
	give("H-2,liner,2026-03-05,2001,,SX-COAT-LINER,clean_first");
	assert.deepEqual(due(), ["SX-COAT-LINER", "SX-DRD"], "neither one before nor one that was not done");
	give("H-3,liner,2026-03-05,2001,,SX-COAT-LINER,return_to_service");
	assert.deepEqual(due(), ["SX-DRD"]);
	give("H-4,advanced,2026-03-10,2001,,SX-TROUSER-SHELL,out_of_service");
	give("H-5,liner,2026-03-11,2001,,SX-TROUSER-LINER,return_to_service");
	assert.equal(department.import("findings", past.findings[0] + "\nH-4,SX-TROUSER-SHELL,heat,charred,seat,,major,repair,open,,\n").code, 0);
	assert.deepEqual(due(), ["SX-DRD"], "it was inspected since");
});

test("a part that had to be cleaned first is not clean until it was inspected again", () => {
	const blocked = () => Database.rows(department.data, "SELECT s.blockers FROM standing s JOIN component c ON c.id = s.component_id WHERE c.tag = 'SX-GLOVES'")[0].blockers.includes("not_clean");
	const give = (kind, table) => assert.equal(department.import(kind, table).code, 0);
	give("inspections", past.inspections[0] + "\nH-6,advanced,2026-03-01,2001,,SX-GLOVES,clean_first\n");
	assert.ok(blocked());
	give("cleanings", past.cleanings[0] + "\nSX-GLOVES,2026-03-02,advanced,soiled,Wash,WASH\n");
	assert.ok(blocked());
	give("inspections", past.inspections[0] + "\nH-7,advanced,2026-03-03,2001,,SX-GLOVES,return_to_service\n");
	assert.ok(!blocked());
});

test("in the browser without scripts: check, see the faults, mend, store", async () => {
	await department.start();
	const chrome = await browser();
	const page = await (await chrome.newContext({ javaScriptEnabled: false })).newPage();
	await signIn(page, department, "2003");
	const give = async (text) => {
		const file = join(department.folder, "given.csv");
		writeFileSync(file, text);
		await page.goto(department.url + "/imports");
		await page.selectOption("#f-kind", "stations");
		await page.setInputFiles("#f-table", file);
		await page.click("main form button[type=submit]");
		await page.waitForURL(/\/imports\/\d+$/);
	};
	const before = count("station");
	await give("code,name\nWEB1,One\n,Two\n");
	assert.equal(await page.textContent("h1"), "Import: Stations");
	assert.match(await page.textContent("main"), /Faults: 1\.[\s\S]*line 3, column code: Code is required/);
	assert.equal(await page.locator("main button").count(), 0);
	await give("code,name\nWEB1,One\nWEB2,Two\n");
	assert.match(await page.textContent("main"), /2 rows/);
	assert.equal(count("station"), before);
	await page.click("text=Store 2 rows");
	await page.waitForSelector("text=2 rows were new or changed");
	assert.equal(count("station"), before + 2);
	await chrome.close();
	await department.stop();
	assert.match(run(["verify", "--data", department.data]), /holds/);
});

// --- long tables: worked on after the answer, with progress ---

const long = (name, rows = 20000) => "code,name\n" + Array.from({ length: rows }, (_, i) => `${name}${i},Station ${i} of many\n`).join("");
const upload = async (kind, text) => {
	const form = new FormData();
	form.set("kind", kind);
	form.set("table", new Blob([text], { type: "text/csv" }), "given.csv");
	const answer = await fetch(department.url + "/imports", { method: "POST", body: form, redirect: "manual",
		headers: { accept: "application/json", authorization: `Bearer ${token}` } });
	return { status: answer.status, run: (await answer.json()).run };
};
const worked = async (id) => {
	const seen = [];
	for (;;) {
		const { doc } = await department.json(`/imports/${id}`, { token });
		if (!doc.run.is_working) return { run: doc.run, seen };
		seen.push(doc.run.percent);
		assert.equal((await department.json("/health")).status, 200);
	}
};

test("the form of a component takes no day ahead either", async () => {
	await department.start();
	for (const [field, value] of [["made", ahead.slice(0, 7)], ["in_service_on", ahead]]) {
		const { status, doc } = await department.json("/components", { token, body: { tag: "AHEAD-1", kind: "hood", hazard: "structural", station: 1, [field]: value } });
		assert.equal(status, 422);
		assert.deepEqual(doc.errors.map((error) => error.field), [field]);
	}
	await department.stop();
});

test("a long table: answered at once, progress meanwhile, reading goes on, all or nothing", async () => {
	await department.start();
	const before = count("station");
	const given = await upload("stations", long("L"));
	assert.equal(given.status, 201);
	assert.equal(given.run.state, "checking");
	const checked = await worked(given.run.id);
	assert.equal(checked.run.state, "ready");
	assert.equal(checked.run.rows_total, 20000);
	assert.deepEqual(checked.seen, [...checked.seen].sort((a, b) => a - b), "it only goes on");
	assert.ok(checked.seen.some((percent) => percent > 0), `${checked.seen}`);
	assert.equal(count("station"), before, "nothing is stored yet");
	const wanted = await department.json(`/imports/${given.run.id}/run`, { token, body: {} });
	assert.equal(wanted.doc.run.state, "running");
	const twice = await department.json(`/imports/${given.run.id}/run`, { token, body: {} });
	assert.equal(twice.status, 409, "it is on its way already");
	const stored = await worked(given.run.id);
	assert.equal(stored.run.state, "done");
	assert.equal(stored.run.rows_done, 20000);
	assert.equal(count("station"), before + 20000);
	const entry = Database.rows(department.data, "SELECT actor, action FROM audit_entry ORDER BY seq DESC LIMIT 1")[0];
	assert.match(entry.actor, /^2003 /);
	await department.stop();
});

test("killed while a long table is checked: the next start checks it", async () => {
	await department.start();
	const given = await upload("stations", long("K"));
	assert.equal(given.run.state, "checking");
	await department.stop("SIGKILL");
	assert.equal(Database.rows(department.data, `SELECT state FROM import_run WHERE id = ${given.run.id}`)[0].state, "checking");
	await department.start();
	assert.equal((await worked(given.run.id)).run.state, "ready");
	await department.stop();
});

test("killed while a long table is stored: the next start stores it for whoever asked for that", async () => {
	const administrator = department.token("1001");
	await department.start();
	const given = await upload("stations", long("W"));
	assert.equal((await worked(given.run.id)).run.state, "ready");
	const wanted = await department.json(`/imports/${given.run.id}/run`, { token: administrator, body: {} });
	assert.equal(wanted.doc.run.state, "running", wanted.text);
	await department.stop("SIGKILL");
	assert.equal(Database.rows(department.data, `SELECT state FROM import_run WHERE id = ${given.run.id}`)[0].state, "running");
	await department.start();
	const { run: stored } = await worked(given.run.id);
	assert.equal(stored.state, "done", `${JSON.stringify(stored.faults)} ${department.log}`);
	const [entry] = Database.rows(department.data, "SELECT e.actor, m.badge FROM audit_entry e JOIN account a ON a.id = e.account_id JOIN member m ON m.id = a.member_id ORDER BY e.seq DESC LIMIT 1");
	assert.match(entry.actor, /^1001 /);
	assert.equal(entry.badge, "1001");
	await department.stop();
});

test("a long table that does not fit any more is not stored, and its page says why", async () => {
	await department.start();
	const before = count("component");
	const rows = Array.from({ length: 6000 }, (_, i) => `U-${i},hood,structural,ST1,NEWSET,2024-01,2025-01-01,a note to make it long\n`).join("");
	const given = await upload("components", "tag,kind,hazard,station,ensemble,made,in_service_on,note\n" + rows);
	const checked = await worked(given.run.id);
	assert.equal(checked.run.state, "ready", JSON.stringify(checked.run.faults));
	const made = await department.json("/ensembles", { token, body: { code: "NEWSET", hazard: "proximity", line: "reserve", station: 1 } });
	assert.equal(made.status, 201, made.text);
	await department.json(`/imports/${given.run.id}/run`, { token, body: {} });
	const { run: failed } = await worked(given.run.id);
	assert.equal(failed.state, "failed");
	assert.match(failed.faults[0], /does not fit any more/);
	assert.equal(count("component"), before);
	await department.stop();
	assert.match(run(["verify", "--data", department.data]), /holds/);
});

test("in the browser a long table shows how far it is, and then what is in it", async () => {
	await department.start();
	const chrome = await browser(), page = await chrome.newPage();
	await signIn(page, department, "2003");
	const file = join(department.folder, "given.csv");
	writeFileSync(file, long("B"));
	await page.goto(department.url + "/imports");
	await page.selectOption("#f-kind", "stations");
	await page.setInputFiles("#f-table", file);
	await page.click("main form button[type=submit]");
	await page.waitForSelector("progress");
	await page.waitForSelector("text=Store 20000 rows", { timeout: 60000 });
	await chrome.close();
	await department.stop();
});
