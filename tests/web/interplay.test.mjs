// Where two things are done with the same gear at once: what one of them says must not be undone,
// nor counted, by the other.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { answer, answerPart, begin, componentOf, earlier, idOf, inspect, prepare, sign, staffed } from "./inspecting.mjs";

let department, inspector, member, officer;
before(async () => { ({ department, inspector, member, officer } = await staffed()); });
after(() => department?.finish());

/** A part of its own, in nobody's ensemble. */
const add = async (tag, kind, more = {}) => officer.post("/components", { tag, kind, hazard: "structural", station: 2, maker: "Harrow and Pell",
	model: "M1", serial: `SN-${tag}`, size: "M", made: earlier(400).slice(0, 7), in_service_on: earlier(300), ...more });
async function act(tag, name, body, wanted) {
	const { id, version } = await componentOf(officer, tag);
	return officer.send(`/components/${id}/${name}`, body, version, wanted);
}
const holder = async (badge) => (await officer.get("/members")).rows.find((one) => one.badge === badge).id;
const codesOf = async (tag) => (await componentOf(officer, tag)).blockers.map(({ code }) => code);
const dutyOf = async (tag, duty) => (await officer.get(`/components/${await idOf(officer, tag)}`)).duties.find((one) => one.duty === duty);
/** A finding by the wearer's look, and a ticket for it. */
async function ticketFor(tag, found) {
	await inspect(inspector, "routine", [tag], { [tag]: found });
	const open = (await inspector.get("/dispatches/new")).candidates.filter((one) => one.tag === tag);
	return inspector.post("/dispatches", { provider: 1, finding: open.map((one) => one.finding) });
}
const tear = { check_point: "fabric", defect: "tear", zone: "left_knee", outcome: "repair", length_mm: 19 };

test("an inspection of what left for the provider meanwhile is none of that part", async () => {
	const at = await ticketFor("SX-TROUSER-SHELL", tear), before = await dutyOf("SX-TROUSER-SHELL", "advanced_inspection");
	const draft = await begin(inspector, "advanced", "SX-TROUSER-SHELL", "SX-TROUSER-LINER");
	await inspector.post(`${at}/send`, {}, (await inspector.get(at)).version);
	// What is here is answered and signed; the other is answered for all the same.
	await answer(inspector, draft, {});
	const { parts } = await sign(inspector, draft);
	assert.deepEqual(parts.map(({ tag, conclusion }) => [tag, conclusion]), [["SX-TROUSER-SHELL", "not_finished"], ["SX-TROUSER-LINER", "return_to_service"]]);
	assert.equal((await dutyOf("SX-TROUSER-SHELL", "advanced_inspection")).due_on, before.due_on);
	assert.notEqual((await dutyOf("SX-TROUSER-LINER", "advanced_inspection")).due_on, before.due_on);
	await assert.rejects(begin(inspector, "advanced", "SX-TROUSER-SHELL"), /away or retired/);
});

test("what was answered before a part went away and came back mends nothing, on the same day either", async () => {
	await add("DAY-TRIP", "trouser_shell");
	const at = await ticketFor("DAY-TRIP", tear), draft = await begin(inspector, "return", "DAY-TRIP");
	await answer(inspector, draft);
	await inspector.post(`${at}/send`, {}, (await inspector.get(at)).version);
	const page = await inspector.get(`${at}/return`);
	await inspector.post(`${at}/return`, { [`result.${page.items[0].id}`]: "repaired" }, page.version);
	const { parts: [part] } = await sign(inspector, draft);
	assert.equal(part.conclusion, "not_finished");
	assert.match(part.blockers[0].text, /left for a provider while it was being inspected/);
	assert.deepEqual(await codesOf("DAY-TRIP"), ["return_inspection", "finding"]);
	await inspect(inspector, "return", ["DAY-TRIP"]);
	assert.deepEqual(await codesOf("DAY-TRIP"), []);
});

test("what left for the provider unanswered does not keep the other parts from being signed", async () => {
	const at = await ticketFor("SX-GLOVES", { check_point: "shell", defect: "hole", zone: "left_thumb", outcome: "replace" });
	const draft = await begin(inspector, "advanced", "SX-GLOVES", "SX-HELMET");
	for (const part of (await prepare(inspector, draft))) if (part.tag === "SX-HELMET") await answerPart(inspector, draft, part.component);
	await inspector.post(`${at}/send`, {}, (await inspector.get(at)).version);
	const { parts } = await sign(inspector, draft);
	assert.deepEqual(parts.map(({ tag, conclusion }) => [tag, conclusion]), [["SX-GLOVES", "not_finished"], ["SX-HELMET", "return_to_service"]].sort((a, b) => parts.findIndex((p) => p.tag === a[0]) - parts.findIndex((p) => p.tag === b[0])));
});

const charred = { check_point: "heat", defect: "charred", zone: "left_sleeve", outcome: "repair" };
const takeBack = (tag) => act(tag, "return", { condition: "good" });

test("beneath a burnt shell lies the liner that its wearer has on loan, too", async () => {
	// The shell is the wearer's by the ensemble, the liner by the loan.
	for (const tag of ["PX-COAT-SHELL", "PX-COAT-LINER"]) await takeBack(tag);
	await add("LOAN-LINER", "coat_liner", { hazard: "proximity" });
	await act("LOAN-LINER", "issue", { member: await holder("2001"), condition: "good" });
	await inspect(inspector, "advanced", ["PX-COAT-SHELL"], { "PX-COAT-SHELL": { check_point: "aluminized", defect: "burnt", zone: "left_sleeve", outcome: "repair" } });
	for (const tag of ["PX-COAT-LINER", "LOAN-LINER"]) assert.deepEqual(await codesOf(tag), ["thorough_inspection"], tag);
});

test("beneath a burnt shell on loan lies the wearer's own liner, unless one came with it", async () => {
	await add("LOAN-SHELL", "coat_shell");
	for (const tag of ["SX-COAT-SHELL", "SX-COAT-LINER"]) await takeBack(tag);
	await act("LOAN-SHELL", "issue", { member: await holder("2002"), condition: "good" });
	await add("LOAN-LINER-2", "coat_liner");
	await act("LOAN-LINER-2", "issue", { member: await holder("2002"), condition: "good" });
	await inspect(inspector, "advanced", ["LOAN-SHELL"], { "LOAN-SHELL": charred });
	assert.deepEqual(await codesOf("LOAN-LINER-2"), ["thorough_inspection"]);
	assert.deepEqual(await codesOf("SX-COAT-LINER"), [], "it hung in the locker");
	await takeBack("LOAN-LINER-2");
	await inspect(inspector, "advanced", ["LOAN-SHELL"], { "LOAN-SHELL": charred });
	assert.deepEqual(await codesOf("SX-COAT-LINER"), ["thorough_inspection"]);
});

test("what came back contaminated says so also where it was withdrawn for something else", async () => {
	await add("SET-ASIDE", "hood");
	await act("SET-ASIDE", "issue", { member: await holder("2002"), condition: "good" });
	await act("SET-ASIDE", "withdraw", { reason: "Waits for a new label" });
	await act("SET-ASIDE", "return", { condition: "contaminated" });
	const { withdrawn_reason, blockers } = await componentOf(officer, "SET-ASIDE");
	assert.match(withdrawn_reason, /Came back contaminated.*Waits for a new label/);
	assert.match(blockers[0].text, /^Set aside until the safety officer releases it: Came back/, "by whom, the officer need not have been");
});

test("a part past its limit of age is issued to nobody; one whose inspection is due is", async () => {
	await add("TEN-YEARS", "hood", { made: "2014-03", in_service_on: "2014-08-01" });
	const refused = await act("TEN-YEARS", "issue", { member: await holder("2002"), condition: "good" }, 409);
	assert.match(refused.doc.detail, /until 2024-02-29 and no longer/);
	await add("DUE", "hood", { in_service_on: earlier(390) });
	await act("DUE", "issue", { member: await holder("2002"), condition: "good" });
	assert.equal((await dutyOf("DUE", "advanced_inspection")).is_overdue, true);
});

test("a table does not let damage serve on that the trade does not let", async () => {
	await add("CRACKED", "helmet");
	await department.stop();
	const rows = (...found) => "reference,tag,check_point,defect,severity,outcome,state,override_reason\n" + found.map((one) => `OLD-1,CRACKED,${one}\n`).join("");
	assert.equal(department.import("inspections", `reference,kind,inspected_on,inspector,tag,conclusion\nOLD-1,advanced,${earlier(20)},2001,CRACKED,return_to_service\n`).code, 0);
	for (const [found, why] of [["shell,cracked,major,serve_on,accepted,seen often", /column outcome: This finding cannot have that outcome. The trade's own is "Retire"/],
		["shell,cracked,major,clean,open,", /column outcome: This finding cannot have that outcome/], ["shell,abrasion,minor,serve_on,accepted,", /column override_reason: The trade's own outcome is/],
		["shell,abrasion,critical,serve_on,accepted,shallow", /column outcome: A part with critical damage cannot serve on/],
		["dial,cracked,major,serve_on,accepted,shallow", /column defect: The handbook does not know that defect at that point/]]) {
		const result = department.import("findings", rows(found));
		assert.notEqual(result.code, 0, found);
		assert.match(result.err, why);
	}
	assert.equal(department.import("findings", rows("shell,abrasion,minor,serve_on,accepted,shallow", "dial,cracked,major,retire,open,")).code, 0);
	await department.start();
	assert.deepEqual(await codesOf("CRACKED"), ["retire_finding"]);
});

test("what a notice sent to the maker is looked at when it is back, as after any repair", async () => {
	for (const tag of ["SENT-1", "SENT-2"]) await add(tag, "gloves", { maker: "Elm and Rowe" });
	const notice = await officer.post("/safety-notices", { issuer: "Elm and Rowe", issued_on: earlier(1), title: "Seams", wrong: "Seams open.", action: "send", maker: "Elm and Rowe" });
	const answered = async (tag, body) => officer.post(`${notice}/answers`, { component: [await idOf(officer, tag)], note: "to the maker", ...body }, (await officer.get(notice)).version);
	await answered("SENT-1", { answer: "sent" });
	assert.deepEqual(await codesOf("SENT-1"), ["safety_notice"]);
	await answered("SENT-1", { answer: "done" });
	assert.deepEqual(await codesOf("SENT-1"), ["return_inspection"]);
	await inspect(inspector, "return", ["SENT-1"]);
	assert.deepEqual(await codesOf("SENT-1"), []);
	await answered("SENT-2", { answer: "not_affected" });
	assert.deepEqual(await codesOf("SENT-2"), []);
});

test("gear under a notice that stops its use is no training gear either, until it is disposed of", async () => {
	for (const tag of ["TRAIN-1", "TRAIN-2"]) await add(tag, "footwear", { maker: "Oak and Tarn" });
	const forTraining = async (tag) => {
		await act(tag, "retire", { ground: "age" });
		await act(tag, "training", { use: "non_live", marked: true });
		return (await componentOf(officer, tag)).state;
	};
	assert.equal(await forTraining("TRAIN-1"), "training_only");
	const notice = await officer.post("/safety-notices", { issuer: "Oak and Tarn", issued_on: earlier(1), title: "Soles", wrong: "Soles break.", action: "stop_use", maker: "Oak and Tarn" });
	assert.equal((await componentOf(officer, "TRAIN-1")).state, "retired", "marked before the notice");
	assert.deepEqual(await codesOf("TRAIN-1"), ["retired", "safety_notice"]);
	assert.equal(await forTraining("TRAIN-2"), "retired", "marked after it");
	assert.equal((await officer.get(notice)).notice.left, 2);
	for (const tag of ["TRAIN-1", "TRAIN-2"]) await act(tag, "dispose", { way: "destroyed", witness: "2001" });
	assert.equal((await officer.get(notice)).notice.left, 0);
});

test("what is to be tested or opened before use is not ready on the day that is found, nor issued", async () => {
	await add("SPOTTED", "coat_liner");
	await inspector.post("/field-tests", { component: await idOf(inspector, "SPOTTED"), test: "light", sign: true, zone: "left_sleeve" });
	assert.equal((await componentOf(officer, "SPOTTED")).ready_until, earlier(1));
	const refused = await act("SPOTTED", "issue", { member: await holder("2002"), condition: "good" }, 409);
	assert.match(refused.doc.detail, /found it suspect: open the liner/);
	await inspect(inspector, "liner", ["SPOTTED"]);
	await act("SPOTTED", "issue", { member: await holder("2002"), condition: "good" });
});

test("what came back soiled is cleaned before somebody else gets it", async () => {
	await add("SOILED", "gloves");
	const give = (wanted) => holder("2002").then((member) => act("SOILED", "issue", { member, condition: "good" }, wanted));
	await give();
	await act("SOILED", "return", { condition: "soiled" });
	assert.deepEqual(await codesOf("SOILED"), ["came_back_soiled"]);
	assert.match((await give(409)).doc.detail, /came back soiled on .* Ends with a cleaning/);
	await act("SOILED", "cleanings", { class: "routine", reason: "soiled", performed_by: "Bo Larsen", on: earlier(1) });
	assert.deepEqual(await codesOf("SOILED"), ["came_back_soiled"], "cleaned before");
	await act("SOILED", "cleanings", { class: "routine", reason: "soiled", performed_by: "Bo Larsen" });
	await give();
});

test("a wearer who found it unfit, by a table, is believed until somebody trained looks", async () => {
	await add("DOUBTED", "hood");
	await department.stop();
	const table = (day, kind, conclusion) => department.import("inspections", `reference,kind,inspected_on,inspector,tag,conclusion\nD-${day}-${kind},${kind},${earlier(day)},2001,DOUBTED,${conclusion}\n`);
	for (const row of [[9, "advanced", "return_to_service"], [6, "routine", "out_of_service"], [5, "routine", "return_to_service"]]) assert.equal(table(...row).code, 0);
	await department.start();
	assert.deepEqual(await codesOf("DOUBTED"), ["unfit"]);
	await inspect(inspector, "routine", ["DOUBTED"]);
	assert.deepEqual(await codesOf("DOUBTED"), ["unfit"]);
	await inspect(inspector, "advanced", ["DOUBTED"]);
	assert.deepEqual(await codesOf("DOUBTED"), []);
});

test("a part is inspected as what it is: a list of another kind is none of it", async () => {
	await add("CHANGED", "hood");
	const draft = await begin(inspector, "advanced", "CHANGED");
	const change = async (wanted) => {
		const { id, version } = await componentOf(officer, "CHANGED");
		return officer.send(`/components/${id}`, { kind: "helmet" }, version, wanted);
	};
	assert.match((await change(422)).doc.detail, new RegExp(`being inspected as what it was, in inspection ${draft}`));
	const before = (await dutyOf("CHANGED", "advanced_inspection"))?.due_on;
	await answer(inspector, draft);
	await sign(inspector, draft);
	await act("CHANGED", "issue", { member: await holder("2002"), condition: "good" });
	assert.notEqual((await dutyOf("CHANGED", "advanced_inspection")).due_on, before);
	const asHood = (await dutyOf("CHANGED", "advanced_inspection")).fact;
	await change(200);
	assert.deepEqual([asHood, (await dutyOf("CHANGED", "advanced_inspection")).fact], ["inspected", "in_service"]);
	await inspect(inspector, "advanced", ["CHANGED"]);
	assert.equal((await dutyOf("CHANGED", "advanced_inspection")).fact, "inspected");
});

test("who repairs it is told what it is contaminated with: it is cleaned first", async () => {
	await add("FUELLED", "trouser_shell");
	const at = await ticketFor("FUELLED", tear), pages = async () => [(await department.json(`${at}/ticket.csv`, { token: inspector.token })).text,
		await (await fetch(`${department.url}${at}/ticket`, { headers: { accept: "text/html", authorization: `Bearer ${inspector.token}` } })).text()];
	for (const text of await pages()) assert.doesNotMatch(text, /Exposed to/);
	await inspector.post("/exposures", { component: [await idOf(inspector, "FUELLED")], cause: "fuels", contaminants: "Jet A" });
	for (const text of await pages()) assert.match(text, /Exposed to fuels on .* until a specialized cleaning is recorded\..* Known or suspected: Jet A\./);
});

test("a barrier that went away twice owes a test since the second time", async () => {
	await add("TWICE", "coat_liner");
	await department.stop();
	const ticket = (number, sent, back) => `${number},REMEND,returned,${earlier(sent)},2001,${earlier(sent)},${earlier(back)},R-9,TWICE,barrier,pinhole,back,repaired\n`;
	const tables = [["inspections", `reference,kind,inspected_on,inspector,tag,conclusion\nR-9,advanced,${earlier(60)},2001,TWICE,out_of_service\nR-10,return,${earlier(10)},2001,TWICE,return_to_service\n`],
		["findings", `reference,tag,check_point,defect,zone,severity,outcome,state,closed_on\nR-9,TWICE,barrier,pinhole,back,major,repair,mended,${earlier(10)}\n`],
		["repairs", "number,provider,state,created_on,created_by,sent_on,returned_on,reference,tag,check_point,defect,zone,result\n" + ticket("R-2026-0902", 30, 20) + ticket("R-2026-0901", 55, 45)],
		["field_tests", `tag,test,tested_on,performed_by,provider,recorded_by,sign,time_ms,pressure_pa,material_spots,seam_spots\nTWICE,water,${earlier(50)},Remend Works,REMEND,2001,no,15000,6895,3,3\n`]];
	for (const [kind, text] of tables) { const { code, err } = department.import(kind, text); assert.equal(code, 0, `${kind}: ${err}`); }
	await department.start();
	assert.equal((await dutyOf("TWICE", "leak_test"))?.due_on, earlier(10), "what they tested the first time tells nothing of the second");
});

const accepted = { check_point: "heat", defect: "heat_discolored", zone: "left_sleeve", outcome: "serve_on" };

test("what a wearer found is inspected thoroughly, also when it may serve on; dirt is only cleaned", async () => {
	await add("SCORCHED", "coat_shell");
	await act("SCORCHED", "issue", { member: await holder("2002"), condition: "good" });
	const duty = () => dutyOf("SCORCHED", "advanced_inspection"), today = earlier(0);
	await inspect(inspector, "routine", ["SCORCHED"], { SCORCHED: { check_point: "soiling", defect: "soiled", zone: "left_sleeve", outcome: "clean" } });
	assert.equal((await duty()).rule, "advanced_inspection", "dirt");
	await act("SCORCHED", "cleanings", { class: "advanced", reason: "soot", performed_by: "Bo Larsen", done_after: true });
	const draft = await begin(inspector, "advanced", "SCORCHED");
	await answer(inspector, draft);
	await sign(inspector, draft);
	await inspect(inspector, "routine", ["SCORCHED"], { SCORCHED: accepted });
	const { due_on, rule, reason } = await duty();
	assert.deepEqual([due_on, rule, reason], [today, "after_routine_finding", `The routine inspection of ${today} found something: inspect it thoroughly.`]);
	assert.equal((await componentOf(officer, "SCORCHED")).ready_until, today, "the inspection of the morning was before it");
	await inspect(inspector, "return", ["SCORCHED"]);
	assert.equal((await duty()).rule, "after_routine_finding", "that looks only at what was mended");
	await inspect(inspector, "advanced", ["SCORCHED"]);
	assert.equal((await duty()).rule, "advanced_inspection");
});

test("what came back damaged is inspected, whoever ends the withdrawal, and by a table too", async () => {
	await add("DENTED", "helmet");
	await act("DENTED", "issue", { member: await holder("2002"), condition: "good" });
	await act("DENTED", "return", { condition: "damaged" });
	await act("DENTED", "release", { reason: "looks fine" });
	assert.deepEqual(await codesOf("DENTED"), ["came_back_damaged"]);
	assert.equal((await dutyOf("DENTED", "advanced_inspection")).rule, "came_back_damaged");
	await act("DENTED", "issue", { member: await holder("2002"), condition: "good" }, 409);
	await inspect(inspector, "routine", ["DENTED"]);
	assert.deepEqual(await codesOf("DENTED"), ["came_back_damaged"], "by the wearer's look");
	await inspect(inspector, "advanced", ["DENTED"]);
	assert.deepEqual(await codesOf("DENTED"), []);
	await add("DENTED-2", "helmet");
	await department.stop();
	const { code, err } = department.import("issues", `tag,badge,issued_on,condition,returned_on,condition_at_return\nDENTED-2,2002,${earlier(90)},good,${earlier(30)},damaged\n`);
	assert.equal(code, 0, err);
	await department.start();
	assert.deepEqual(await codesOf("DENTED-2"), ["came_back_damaged"]);
});

test("what came back contaminated is not done with by a routine cleaning, nor inspected before", async () => {
	await add("FOULED", "hood");
	await act("FOULED", "issue", { member: await holder("2002"), condition: "good" });
	await act("FOULED", "return", { condition: "contaminated" });
	await act("FOULED", "release", { reason: "looks fine" });
	await act("FOULED", "cleanings", { class: "routine", reason: "soot", performed_by: "Bo Larsen" });
	const { blockers: [blocker], state } = await componentOf(officer, "FOULED");
	assert.deepEqual([blocker.code, state], ["contaminated", "out_of_service"]);
	assert.match(blocker.text, /came back contaminated on .* Ends with an advanced or specialized cleaning/);
	await assert.rejects(begin(inspector, "advanced", "FOULED"), /409/);
	const page = await (await fetch(`${department.url}/components/${await idOf(officer, "FOULED")}`, { headers: { accept: "text/html", authorization: `Bearer ${officer.token}` } })).text();
	assert.ok(page.includes("came back contaminated"), "and its page says so");
	await act("FOULED", "cleanings", { class: "advanced", reason: "soot", performed_by: "Ines Okafor" });
	assert.deepEqual(await codesOf("FOULED"), []);
});

test("a liner that an inspection found suspect is opened, or judged by whom it was sent to", async () => {
	await add("SUSPECT", "coat_liner");
	await act("SUSPECT", "issue", { member: await holder("2002"), condition: "good" });
	await inspect(inspector, "advanced", ["SUSPECT"], { SUSPECT: { check_point: "light", defect: "light_spot", zone: "left_sleeve", outcome: "test" } });
	assert.equal((await dutyOf("SUSPECT", "liner_inspection")).rule, "to_be_tested");
	await inspect(inspector, "liner", ["SUSPECT"]);
	assert.equal((await dutyOf("SUSPECT", "liner_inspection")).rule, "liner_inspection");
	assert.deepEqual(await codesOf("SUSPECT"), ["finding"], "whoever found it sound: what was found is still to be ended");
});

test("nobody has it while somebody else does, nor before it was made, nor by a table", async () => {
	await add("ONE-PAIR", "gloves");
	const give = (days, wanted) => holder("2002").then((member) => act("ONE-PAIR", "issue", { member, condition: "good", on: earlier(days) }, wanted));
	await give(20);
	await act("ONE-PAIR", "return", { condition: "good", on: earlier(10) });
	assert.match((await give(15, 422)).doc.errors[0].message, /Somebody else had it then, or later/);
	await give(10);
	const { id, version } = await componentOf(officer, "ONE-PAIR");
	const changed = await officer.send(`/components/${id}`, { made: earlier(60).slice(0, 7), in_service_on: earlier(300) }, version, 422);
	assert.equal(changed.doc.errors[0].field, "in_service_on");
	const part = (tag, made) => officer.send("/components", { tag, kind: "hood", hazard: "structural", station: 2, made, in_service_on: "2025-03-15" }, undefined, [201, 422]);
	assert.deepEqual([(await part("SAME-MONTH", "2025-03")).status, (await part("LATER", "2025-04")).status], [201, 422]);
	await department.stop();
	const history = (from, until) => department.import("issues", `tag,badge,issued_on,condition,returned_on,condition_at_return\nONE-PAIR,2003,${earlier(from)},good,${earlier(until)},good\n`);
	for (const days of [[21, 19], [15, 12], [15, 5], [9, 2]]) assert.match(history(...days).err, /column issued_on: Another issue of it is on record/, days.join());
	assert.equal(history(25, 20).code, 0);
	const parts = (row) => department.import("components", `tag,kind,hazard,station,maker,made,in_service_on,holder,issued_on\n${row}\n`, ["--update"]);
	assert.match(parts("BEFORE,hood,structural,ST1,Elm,2025-04,2025-03-31,,").err, /column in_service_on: It was made 2025-04/);
	assert.equal(parts("AFTER,hood,structural,ST1,Elm,2025-04,2025-04-01,,").code, 0);
	const past = department.import("issues", `tag,badge,issued_on,condition,returned_on,condition_at_return\nAFTER,2003,${earlier(90)},good,${earlier(30)},good\n`);
	assert.equal(past.code, 0, past.err);
	assert.match(parts(`AFTER,hood,structural,ST1,Elm,2025-04,2025-04-01,2002,${earlier(40)}`).err, /column issued_on: Somebody else had it then/);
	assert.equal(parts(`AFTER,hood,structural,ST1,Elm,2025-04,2025-04-01,2002,${earlier(30)}`).code, 0);
	await department.start();
});

test("what is on record as soiled is cleaned first: no thorough look at it counts before", async () => {
	const draft = {}, due = (tag) => dutyOf(tag, "advanced_inspection");
	for (const tag of ["SOOTY", "SOOTY-2"]) await add(tag, "hood");
	for (const tag of ["SOOTY", "SOOTY-2"]) await act(tag, "issue", { member: await holder("2002"), condition: "good" });
	await inspect(inspector, "routine", ["SOOTY"], { SOOTY: { check_point: "soiling", defect: "contaminated", zone: "bib", outcome: "clean" } });
	await act("SOOTY-2", "return", { condition: "soiled" });
	for (const tag of ["SOOTY", "SOOTY-2"]) {
		draft[tag] = await begin(inspector, "advanced", tag);
		await answer(inspector, draft[tag]);
		const { parts: [part] } = await sign(inspector, draft[tag]);
		assert.equal(part.conclusion, "clean_first", tag);
		await act(tag, "cleanings", { class: "advanced", reason: "soot", performed_by: "Ines Okafor", done_after: true });
		assert.deepEqual(await codesOf(tag), ["not_clean"], tag);
		await inspect(inspector, "advanced", [tag]);
		assert.deepEqual(await codesOf(tag), [], tag);
	}
	assert.equal((await due("SOOTY")).fact, "inspected");
	// In the form: why, and where the way out is.
	await inspect(inspector, "routine", ["SOOTY"], { SOOTY: { check_point: "soiling", defect: "soiled", zone: "bib", outcome: "clean" } });
	const id = await begin(inspector, "advanced", "SOOTY"), component = await idOf(inspector, "SOOTY");
	const page = async () => (await fetch(`${department.url}/inspections/${id}/parts/${component}`, { headers: { accept: "text/html", authorization: `Bearer ${inspector.token}` } })).text();
	assert.match(await page(), new RegExp(`By the record it waits for that; if it was cleaned, <a href="/components/${component}">record the cleaning first`));
	await act("SOOTY", "cleanings", { class: "advanced", reason: "soot", performed_by: "Ines Okafor", done_after: true });
	assert.doesNotMatch(await page(), /waits for that/);
	await answer(inspector, id);
	assert.equal((await sign(inspector, id)).parts[0].conclusion, "return_to_service");
});
