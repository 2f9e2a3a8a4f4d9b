// Tables in and out: what is on record, taken out, makes the same record elsewhere.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import Papa from "papaparse";
import { Database } from "./sqlite.mjs";
import { Department, attempt, kinds, root, run } from "./harness.mjs";

let town, other;
before(() => {
	town = new Department("9001").fillDemo();
	other = new Department("9001");
});
after(async () => {
	if (town?.process) await town.stop();
	town?.remove();
	other?.remove();
});

const parse = (text, how = {}) => Papa.parse(text.trimEnd(), { header: false, ...how }).data;
const tableOf = (department, kind) => run(["export", "--data", department.data, "--kind", kind], { maxBuffer: 1 << 26 });
const numbers = (sql) => Database.rows(town.data, sql);

/** Words that people wrote beside what they did. */
const remarks = {
	cleanings: "tag,cleaned_on,class,reason,performed_by,note\nPX-3004-CS,2026-01-05,advanced,after a fire,Clearwater Wash,dried on a hanger\n",
	inspections: "reference,kind,inspected_on,inspector,note,tag,conclusion,worked_s\nREMARK,routine,2026-01-06,3002,seen by lamp light,PX-3004-CS,return_to_service,4321\n",
	answered_together: "reference,tag,group_code,group_title,points,opened_at,answered_at,answered_by,away_opened_at,away_answered_at\nREMARK,PX-3004-CS,closures,As it was called then,hardware collar,2026-01-06T14:05:00Z,2026-01-06T14:05:07Z,3002,2026-01-06T13:00:10Z,2026-01-06T13:00:31Z\n",
	findings: "reference,tag,check_point,defect,zone,severity,outcome,state,closed_on,note\nREMARK,PX-3004-CS,hardware,missing,left_pocket,minor,repair,mended,2026-01-20,as big as a thumb\n",
	safety_notices: "number,issuer,issued_on,title,wrong,action,recorded_on,recorded_by,asked_on,closed_on,closed_by,closed_reason,withdrawn,line,maker,serial_from,serial_to,hazard,dropped_on,dropped_reason\nS-REMARK,An authority,2026-01-05,Rivets,\"Loose,\nand lost\",inspect,2026-01-06,3003,2026-01-08,2026-02-01,3003,taken back by letter,yes,1,Nobody and Sons,K9,K20,proximity,2026-01-09,read wrongly\n",
	safety_answers: "number,tag,turn,answer,note,answered_on,answered_by,action,hit,edition,reference,revoked_on,revoked_by,revoked_reason\nS-REMARK,PX-3004-CS,1,done,rivets counted,2026-01-10,3002,inspect,possible,1,REMARK,2026-01-11,3003,another coat\n",
	repairs: "number,provider,state,created_on,created_by,sent_on,returned_on,note,reference,tag,check_point,defect,result\nR-REMARK,REMEND,returned,2026-01-07,3002,2026-01-08,2026-01-19,please call first,REMARK,PX-3004-CS,hardware,missing,repaired\n",
};

test("each table taken out is the same record again, elsewhere and here", () => {
	for (const [kind, table] of Object.entries(remarks)) assert.match(town.import(kind, table).out, /1 stored/, kind);
	for (const kind of kinds) {
		const table = tableOf(town, kind), rows = parse(table).length - 1;
		assert.match(town.import(kind, table).out, new RegExp(`${rows} rows, 0 stored`), kind);
		const result = other.import(kind, table, ["--update"]);
		assert.equal(result.code, 0, `${kind}: ${result.err}`);
		assert.equal(tableOf(other, kind), table, kind);
	}
	for (const words of ["rivets counted", "another coat", "taken back by letter", "read wrongly", "dried on a hanger", "seen by lamp light", ",4321", "As it was called then,hardware collar,2026-01-06T14:05:00Z", "as big as a thumb", "please call first"])
		assert.ok(kinds.some((kind) => tableOf(other, kind).includes(words)), words);
	const replaced = "SELECT c.tag, r.tag AS by FROM component c JOIN component r ON r.id = c.replaced_by ORDER BY 1";
	assert.ok(numbers(replaced).length > 0);
	assert.deepEqual(Database.rows(other.data, replaced), numbers(replaced));
	for (const derived of ["SELECT c.tag, d.state, d.ready_until FROM standing d", "SELECT c.tag, d.duty, d.due_on, d.reason FROM duty d", "SELECT c.tag, d.hit, d.state, d.reason FROM safety_notice_item d"]) {
		const sql = `${derived} JOIN component c ON c.id = d.component_id ORDER BY 1, 2, 3`;
		assert.equal(JSON.stringify(Database.rows(other.data, sql)), JSON.stringify(numbers(sql)));
	}
	assert.match(run(["verify", "--data", other.data]), /holds/);
});

/** Facts that no table carries: a department has its own. */
const own = ["setting", "account", "token", "photo", "notice", "tablet"];
test("whatever is a fact and is not the department's own goes over in the tables", () => {
	const facts = [...readFileSync(join(root, "src/store/internal.h"), "utf8").matchAll(/^\tX\((\w+)\)/gm)].map(([, table]) => table);
	assert.deepEqual(own.filter((table) => !facts.includes(table)), []);
	for (const table of facts.filter((one) => !own.includes(one))) {
		const rows = Database.count(town.data, table);
		assert.ok(rows > 0, `the demo has nothing in ${table}: nobody sees whether tables carry it`);
		assert.equal(Database.count(other.data, table), rows, `what is in ${table} is left out of the tables`);
	}
});

test("the demo has every state, way and end", () => {
	const has = (sql) => new Set(numbers(sql).map((row) => row.word));
	/** The words that a column takes; nobody types them here a second time. */
	const allowed = (table, column) => {
		const [{ sql }] = numbers(`SELECT sql FROM sqlite_schema WHERE name = '${table}'`);
		return sql.match(new RegExp(`\\b${column} IN \\(([^)]*)\\)`))[1].match(/\w+/g);
	};
	const all = (what, sql, words) => { const found = has(sql); assert.deepEqual(words.filter((word) => !found.has(word)), [], what); };
	all("service states", "SELECT DISTINCT state AS word FROM standing", allowed("standing", "state"));
	all("grounds of retirement", "SELECT DISTINCT coalesce(retired_ground, 'as written') AS word FROM component WHERE retired_on IS NOT NULL", ["age", "replaced", "as written"]);
	all("witnessed disposals", "SELECT DISTINCT disposal_way AS word FROM component WHERE disposal_witness IS NOT NULL", ["destroyed"]);
	all("kinds with a finding", "SELECT DISTINCT c.kind AS word FROM finding f JOIN component c ON c.id = f.component_id",
		numbers("SELECT DISTINCT kind FROM component").map((row) => row.kind));
	all("outcomes", "SELECT DISTINCT outcome AS word FROM finding", numbers("SELECT code FROM outcome").map((row) => row.code));
	all("states of findings", "SELECT DISTINCT state AS word FROM finding", allowed("finding", "state").filter((word) => word !== "draft"));
	all("tickets", "SELECT DISTINCT state AS word FROM dispatch", allowed("dispatch", "state"));
	all("results", "SELECT DISTINCT result AS word FROM dispatch_item", allowed("dispatch_item", "result"));
	all("causes of exposures", "SELECT DISTINCT cause AS word FROM exposure", allowed("exposure", "cause"));
	all("field tests", "SELECT DISTINCT test AS word FROM field_test", allowed("field_test", "test"));
	all("their results", "SELECT DISTINCT result AS word FROM field_test", ["pass", "fail", "suspect", "not_valid", "above"]);
	all("interface checks", "SELECT DISTINCT result AS word FROM fit_check", allowed("fit_check", "result"));
	all("safety notices", "SELECT DISTINCT state AS word FROM safety_notice_item", ["left", "done", "informed"]);
	all("blockers", "SELECT DISTINCT b.value ->> 'code' AS word FROM standing, json_each(blockers) b", ["contaminated", "unknown_made", "finding"]);
	all("lines", "SELECT DISTINCT line AS word FROM ensemble", allowed("ensemble", "line"));
	all("members", "SELECT DISTINCT status AS word FROM member", allowed("member", "status"));
	run(["setting", "--data", town.data, "--name", "officer_email", "--value", "officer@example.org"]);
	run(["notify", "--data", town.data]);
	all("notices", "SELECT DISTINCT threshold AS word FROM notice", allowed("notice", "threshold"));
	for (const [what, sql] of [["quoted", "SELECT count(*) AS n FROM repair_quote"], ["quoted again", "SELECT count(*) AS n FROM (SELECT 1 FROM repair_quote GROUP BY dispatch_item_id HAVING count(*) > 1)"],
		["priced", "SELECT count(*) AS n FROM replacement_price"], ["priced by itself", "SELECT count(*) AS n FROM component_price"], ["withdrawn", "SELECT count(*) AS n FROM component WHERE withdrawn_reason IS NOT NULL AND retired_on IS NULL"],
		["disposed of", "SELECT count(*) AS n FROM component WHERE disposed_on IS NOT NULL"], ["of unknown age", "SELECT count(*) AS n FROM component WHERE made IS NULL AND retired_on IS NULL"],
		["given back", "SELECT count(*) AS n FROM issue WHERE returned_on IS NOT NULL"]])
		assert.ok(numbers(sql)[0].n > 0, what);
});

test("cells that a spreadsheet would compute come out guarded and go in as they were", () => {
	const names = ["=1+1", "+47", "-x", "@x", "'quoted", "plain, \"said\""];
	assert.equal(other.import("stations", "code,name\n" + names.map((name, i) => `G${i},"${name.replaceAll('"', '""').replace(/^'/, "''")}"`).join("\n") + "\n").code, 0);
	const stored = Database.rows(other.data, "SELECT name FROM station WHERE code LIKE 'G%' ORDER BY code").map((row) => row.name);
	assert.deepEqual(stored, names);
	const table = parse(tableOf(other, "stations"), { header: true }).filter((row) => row.code.startsWith("G"));
	for (const row of table) assert.doesNotMatch(row.name, /^[=+@-]/);
	assert.match(other.import("stations", tableOf(other, "stations")).out, / 0 stored/);
});

const bad = [
	["a ticket that came back without a result", "repairs", "returned,2026-01-02,2026-01-03,,", /column result: Say what the provider did/],
	["a ticket sent without a day", "repairs", "sent,,,,", /column sent_on: Say when it was sent/],
	["a ticket not sent, with a day", "repairs", "draft,2026-01-02,,,", /column sent_on: It was not sent/],
	["a finding nobody made", "repairs", "draft,,,,", /column reference: There is no inspection "PX-3004-1" on record/],
];
for (const [name, kind, way, says] of bad)
	test(`refused whole: ${name}`, () => {
		const tag = numbers("SELECT tag FROM component LIMIT 1")[0].tag;
		const result = town.import(kind, `number,provider,created_by,created_on,reference,tag,check_point,defect,state,sent_on,returned_on,result,work_done\nT-1,REMEND,3002,2026-01-01,PX-3004-1,${tag},seams,seam_open,${way}\n`);
		assert.equal(result.code, 1);
		assert.match(result.err, says);
	});

for (const [what, row, says] of [
	["points of an inspection that did not look at the part", "REMARK,PX-3004-HE,closures,x,collar,2026-01-06T14:05:00Z,2026-01-06T14:06:00Z,3002", /column tag: Inspection REMARK did not look at PX-3004-HE/],
	["a point that the part does not have", "REMARK,PX-3004-CS,closures,x,collar crown,2026-01-06T14:05:00Z,2026-01-06T14:06:00Z,3002", /column points: The handbook has no check point "crown" of PX-3004-CS/],
	["two spaces between points", "REMARK,PX-3004-CS,closures,x,collar  hardware,2026-01-06T14:05:00Z,2026-01-06T14:06:00Z,3002", /column points: /],
	["no instant", "REMARK,PX-3004-CS,closures,x,collar,2026-01-06T14:05:00Z,2 o'clock,3002", /column answered_at: Say it in UTC/],
	["an answer before the page was opened", "REMARK,PX-3004-CS,closures,x,collar,2026-01-06T14:05:00Z,2026-01-06T14:04:59Z,3002", /column answered_at: It was answered before the page was opened/],
	["somebody unknown", "REMARK,PX-3004-CS,closures,x,collar,2026-01-06T14:05:00Z,2026-01-06T14:06:00Z,9999", /column answered_by: There is no/],
	["other values than on record", "REMARK,PX-3004-CS,closures,Another,hardware collar,2026-01-06T14:05:00Z,2026-01-06T14:05:07Z,3002", /column group_title: This is on record with other values/],
])
	test(`answered together, refused: ${what}`, () => {
		const before = tableOf(town, "answered_together"), result = town.import("answered_together", `reference,tag,group_code,group_title,points,opened_at,answered_at,answered_by\n${row}\n`);
		assert.equal(result.code, 1);
		assert.match(result.err, says);
		assert.equal(tableOf(town, "answered_together"), before);
	});

test("a time worked is a number of seconds, and a table without the column says nothing of it", () => {
	const table = (seconds, header = ",worked_s") => town.import("inspections", `reference,kind,inspected_on,inspector,tag,conclusion${header}\nREMARK,routine,2026-01-06,3002,PX-3004-CS,return_to_service${seconds}\n`);
	assert.match(table("", "").out, / 0 stored/);
	assert.match(table(",").out, / 0 stored/);
	assert.match(table(",-1").err, /column worked_s/);
	assert.match(table(",4322").err, /column worked_s: This is on record with other values/);
});

test("what is retired stays so, and is issued to nobody", () => {
	const [row] = numbers("SELECT c.tag, c.kind, c.hazard, s.code FROM component c JOIN station s ON s.id = c.station_id WHERE retired_on IS NOT NULL LIMIT 1");
	const again = town.import("components", `tag,kind,hazard,station,retired_on,retired_reason\n${row.tag},${row.kind},${row.hazard},${row.code},2020-01-01,x\n`, ["--update"]);
	assert.match(again.err, /column retired_on: On record it is .* and stays so/);
	const issued = town.import("components", "tag,kind,hazard,station,in_service_on,holder,retired_on,retired_reason\nNEW-1,hood,structural,ST1,2020-01-01,1001,2021-01-01,worn\n");
	assert.match(issued.err, /column holder: What is retired is issued to nobody/);
	const half = town.import("components", "tag,kind,hazard,station,retired_on\nNEW-1,hood,structural,ST1,2021-01-01\n");
	assert.match(half.err, /Retirement needs both/);
});

test("by HTTP: the officer takes tables out, with their columns; others do not", async () => {
	town.account("3003", "officer");
	town.account("3004", "inspector");
	const officer = town.token("3003"), inspector = town.token("3004");
	const table = parse(tableOf(town, "repairs"), { header: true }), row = table.find((one) => one.state === "draft");
	const columns = Object.keys(row), guarded = town.import("repairs", Papa.unparse([{ ...row, number: "=1+1" }], { columns }) + "\n");
	assert.equal(guarded.code, 0, guarded.err);
	await town.start();
	for (const kind of kinds) {
		const whole = await town.json(`/export.csv?kind=${kind}`, { token: officer }), empty = await town.json(`/export.csv?kind=${kind}&empty=1`, { token: officer });
		assert.equal(whole.status, 200);
		assert.match(whole.headers.get("content-disposition"), new RegExp(`"${kind}.csv"`));
		assert.equal(whole.text, tableOf(town, kind));
		assert.equal(empty.text, whole.text.slice(0, whole.text.indexOf("\n") + 1), kind);
	}
	assert.deepEqual((await town.json("/imports", { token: officer })).doc.tables.map((one) => one.kind), kinds, "from top to bottom as the command line has them");
	const known = "JOIN component c ON c.id = f.component_id JOIN checklist l USING (kind, hazard) JOIN check_point p ON p.checklist_id = l.id AND p.code = f.check_point JOIN subject_defect s ON s.subject = p.subject AND s.defect = f.defect";
	for (const { id, ...said } of numbers(`SELECT f.id, p.title, s.source FROM finding f ${known} GROUP BY c.kind, f.check_point`)) {
		const { finding } = (await town.json(`/findings/${id}`, { token: inspector })).doc;
		assert.deepEqual({ title: finding.check_point_title, source: finding.source }, said, "brought in, it has what the handbook says, too");
	}
	const page = await town.json("/imports", { token: officer, headers: { accept: "text/html" } });
	assert.match(page.text, /Take a table out<\/h2>\s*<p[^>]*>[^]*?Tables cannot carry photos: <a href="\/photos">/, "what tables leave out is said where they are offered");
	const { id, number } = numbers("SELECT id, number FROM dispatch WHERE number LIKE '=%'")[0];
	const ticket = parse((await town.json(`/dispatches/${id}/ticket.csv`, { token: inspector })).text, { header: true });
	assert.deepEqual(ticket.map((row) => row.ticket), [`'${number}`], "the number of a ticket is guarded too");
	assert.equal((await town.json("/export.csv?kind=secrets", { token: officer })).status, 422);
	assert.equal((await town.json("/export.csv", { token: officer })).status, 422);
	assert.equal((await town.json("/export.csv?kind=members", { token: inspector })).status, 403);
	assert.equal(attempt(["export", "--data", town.data, "--kind", "nothing"]).code, 1);
	assert.equal(attempt(["export", "--data", town.data, "--kind", "stations", "--to", join(town.folder, "out.csv")]).code, 0);
	assert.match(readFileSync(join(town.folder, "out.csv"), "utf8"), /^code,name/);
	assert.match(attempt(["export", "--data", town.data, "--kind", "stations", "--to", join(town.folder, "out.csv")]).err, /not there yet/);
});
