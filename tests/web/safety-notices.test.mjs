// Safety notices: what they hit is out at once, however and whenever it came on record, and stays
// out until somebody says what was done; what cannot be known is never let off.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { componentColumns, run } from "./harness.mjs";
import { componentOf, idOf, inspect, staffed } from "./inspecting.mjs";
import { Database } from "./sqlite.mjs";

let department, member, inspector, officer;
before(async () => {
	({ department, member, inspector, officer } = await staffed());
});
after(() => department?.finish());

const entries = () => Database.count(department.data, "audit_entry");
const text = { issuer: "Harrow and Pell", reference: "HP-2026-7", issued_on: "2026-01-05", title: "Buckles may break", wrong: "A spring was left out." };
const record = (more) => officer.post("/safety-notices", { ...text, action: "stop_use", maker: "Harrow and Pell", ...more });
const notice = (at) => member.get(at);
const items = async (at, query = "") => Object.fromEntries((await member.get(`${at}/items${query}`)).rows.map((row) => [row.tag, row]));
const counts = async (at) => { const { hit, done, left } = (await notice(at)).notice; return [hit, done, left]; };
const answer = async (client, at, tags, body, wanted) => client.send(`${at}/answers`,
	{ component: await Promise.all(tags.map((tag) => idOf(client, tag))), ...body }, (await notice(at)).version, wanted);
const close = async (at, body, wanted) => officer.send(`${at}/close`, body, (await notice(at)).version, wanted);
const blockers = async (tag) => (await componentOf(member, tag)).blockers.filter((one) => one.code === "safety_notice").map((one) => one.text);
const change = async (tag, body) => officer.post(`/components/${await idOf(officer, tag)}`, body, (await componentOf(officer, tag)).version);
const add = async (tag, body) => officer.post("/components", { tag, kind: "helmet", hazard: "structural", station: 1, in_service_on: "2026-01-10", made: "2024-02", ...body });

test("who may do what", async () => {
	const before = entries();
	await member.send("/safety-notices", { ...text, action: "inform", maker: "x" }, null, 403);
	await inspector.send("/safety-notices", { ...text, action: "inform", maker: "x" }, null, 403);
	await officer.send("/safety-notices", { ...text, action: "burn it", maker: "x" }, null, 422);
	await officer.send("/safety-notices", { ...text, action: "inform" }, null, 422);
	await officer.send("/safety-notices", { ...text, issued_on: "2099-01-01", action: "inform", maker: "x" }, null, 422);
	await officer.send("/safety-notices", { ...text, action: "inform", maker: "x", serial_from: "K10", serial_to: "K9" }, null, 422);
	await officer.send("/safety-notices", { ...text, action: "inform", maker: "x", made_from: "2024-03", made_to: "2024-02" }, null, 422);
	assert.equal(entries(), before, "nothing was stored");
});

test("a preview counts and stores nothing; recorded, it hits at once and holds back until answered", async () => {
	const before = entries();
	const wish = { ...text, action: "send", action_text: "To the works, carriage paid.", maker: "HARROW and pell", kind: "helmet", model: "h1" };
	assert.deepEqual((await officer.send("/safety-notices/preview", wish)).doc.preview, { hit: 2, possible: 0 });
	assert.equal(entries(), before);
	assert.equal((await componentOf(member, "PX-HELMET")).state, "in_service");
	const at = await officer.post("/safety-notices", wish);
	assert.match((await notice(at)).notice.number, /^S-\d{4}-0001$/);
	assert.deepEqual(await counts(at), [2, 0, 2]);
	const helmet = await componentOf(member, "PX-HELMET");
	assert.equal(helmet.state, "out_of_service");
	assert.match(helmet.blockers[0].text, /^Safety notice S-\d{4}-0001, Buckles may break: Send to the maker/);
	assert.equal((await componentOf(member, "PX-HOOD")).state, "in_service");
	// Neither released nor handed out around it.
	await officer.send(`/components/${helmet.id}/release`, { reason: "needed" }, helmet.version, 409);
	assert.equal((await member.get("/")).safety_notices, 1);
	assert.deepEqual((await member.get("/safety-notices?left=yes")).rows.map((row) => [row.hit, row.done, row.left]), [[2, 0, 2]]);
	assert.deepEqual((await notice(at)).stations.map(({ hit, left }) => [hit, left]), [[2, 2]]);

	await answer(member, at, ["PX-HELMET"], { answer: "done" }, 403);
	await answer(inspector, at, ["PX-HELMET"], { answer: "sent" }, 422);
	await answer(inspector, at, ["PX-HELMET"], { answer: "retired", note: "old" }, 422);
	await answer(inspector, at, ["PX-HOOD"], { answer: "done" }, 422);
	await answer(inspector, at, ["PX-HELMET"], { answer: "done", answered_on: "2099-01-01" }, 422);
	await answer(inspector, at, ["PX-HELMET", "SX-HELMET", "PX-HELMET"], { answer: "sent", note: "Harrow and Pell, works" });
	assert.deepEqual((await items(at))["PX-HELMET"].state, "sent");
	assert.deepEqual(await counts(at), [2, 0, 2], "what was sent is not back");
	assert.match((await blockers("PX-HELMET"))[0], /sent away/);
	await close(at, {}, 422);
	await answer(inspector, at, ["PX-HELMET"], { answer: "done", note: "Spring put in" });
	assert.deepEqual(await blockers("PX-HELMET"), []);
	assert.equal((await componentOf(member, "PX-HELMET")).state, "awaiting_inspection", "somebody worked on it");
	await inspect(inspector, "return", ["PX-HELMET"]);
	assert.equal((await componentOf(member, "PX-HELMET")).state, "in_service");
	await answer(inspector, at, ["PX-HELMET"], { answer: "done" }, 422);
	await close(at, {}, 422);

	// The officer retires the other one by answering.
	assert.match((await answer(officer, at, ["SX-HELMET"], { answer: "retired", note: "the maker kept it" }, 409)).doc.detail, /Take it back first/);
	const issued = await componentOf(inspector, "SX-HELMET");
	await inspector.post(`/components/${issued.id}/return`, { condition: "serviceable" }, issued.version);
	await answer(officer, at, ["SX-HELMET"], { answer: "retired", note: "the maker kept it" });
	const retired = await componentOf(member, "SX-HELMET");
	assert.equal(retired.state, "retired");
	assert.match(retired.retired_reason, /^Safety notice S-\d{4}-0001: the maker kept it/);
	assert.deepEqual(await counts(at), [2, 2, 0]);
	assert.equal((await member.get("/")).safety_notices, 0);
	const page = await member.get(`/components/${await idOf(member, "PX-HELMET")}`);
	assert.deepEqual(page.safety_notices.map((one) => one.answers.map((w) => [w.answer, w.note])), [[["sent", "Harrow and Pell, works"], ["done", "Spring put in"]]]);

	// A wrong answer is taken back, and it is held back again.
	const wrong = (await notice(at)).answers.find((one) => one.tag === "PX-HELMET" && one.answer === "done");
	await inspector.send(`${at}/answers/${wrong.id}/revoke`, {}, (await notice(at)).version, 422);
	await inspector.send(`${at}/answers/${wrong.id}/revoke`, { reason: "another helmet" }, (await notice(at)).version);
	assert.equal((await items(at))["PX-HELMET"].state, "sent", "the answer before counts again");
	await inspector.send(`${at}/answers/${wrong.id}/revoke`, { reason: "again" }, (await notice(at)).version, 404);
	await answer(inspector, at, ["PX-HELMET"], { answer: "done" });
	await close(at, {});
	assert.equal((await notice(at)).notice.state, "closed");
	await close(at, {}, 409);
	// A closed notice is not forgotten: what comes later is held back all the same.
	await add("LATE-1", { maker: "Harrow and Pell", model: "H1", serial: "L1" });
	assert.equal((await blockers("LATE-1")).length, 1);
	assert.equal((await member.get("/")).safety_notices, 1);
	await answer(inspector, at, ["LATE-1"], { answer: "done" });
});

test("what comes later, by form or by table, and a label put right", async () => {
	const at = await record({ kind: "helmet", maker: "Ostrow", serial_from: "K9", serial_to: "K20", made_from: "2024-01", made_to: "2024-06" });
	assert.deepEqual(await counts(at), [0, 0, 0]);
	await add("OS-1", { maker: "ostrow", serial: "K-10" });
	await add("OS-2", { maker: "Ostrow", serial: "K100" });
	await add("OS-3", { maker: "Ostrow", serial: "K10", made: "2023-12" });
	await add("OS-4", { maker: "Ostrow" });
	await add("OS-5", { maker: "Ostrow", serial: "10" });
	await add("OS-6", { model: "H1", serial: "K10" });
	await department.stop();
	const table = [componentColumns, "OS-7,helmet,structural,ST1,,K020,Ostrow,H1,M,2024-06,2026-01-10,no,,", "OS-8,helmet,structural,ST1,,K021,Ostrow,H1,M,2024-06,2026-01-10,no,,"].join("\r\n");
	assert.equal(department.import("components", table + "\r\n").code, 0);
	await department.start();
	const found = await items(at);
	assert.deepEqual(Object.keys(found).sort(), ["OS-1", "OS-4", "OS-5", "OS-6", "OS-7"]);
	assert.deepEqual(["OS-1", "OS-4", "OS-5", "OS-6", "OS-7"].map((tag) => found[tag].hit), ["hit", "possible", "possible", "possible", "hit"]);
	assert.match(found["OS-4"].reason, /Not on record, or not comparable: lot or serial\. On record: maker Ostrow, month of manufacture 2024-02/);
	assert.match(found["OS-6"].reason, /maker/);
	assert.match((await blockers("OS-4"))[0], /may concern it.*Read the label/);
	assert.equal((await componentOf(member, "OS-4")).state, "out_of_service");
	assert.deepEqual(Object.keys(await items(at, "?hit=possible&sort=tag")), ["OS-4", "OS-5", "OS-6"]);

	// What the label says, put on record, decides; an answer lets a possible one off, until it is hit.
	await change("OS-5", { serial: "K21" });
	assert.deepEqual(await blockers("OS-5"), []);
	await answer(inspector, at, ["OS-4"], { answer: "not_affected" }, 422);
	await answer(inspector, at, ["OS-4", "OS-6"], { answer: "not_affected", note: "label says K99, read by I. Okafor" });
	assert.deepEqual(await blockers("OS-4"), []);
	await change("OS-4", { serial: "K12" });
	assert.equal((await items(at))["OS-4"].state, "left", "the answer was about what nobody knew");
	assert.equal((await blockers("OS-4")).length, 1);
	await change("OS-4", { serial: "K99" });
	assert.deepEqual(await blockers("OS-4"), []);

	// It concerns more: what was not affected is asked again. A line dropped lets off again.
	await officer.post(`${at}/scopes`, { maker: "Ostrow", serials: "K99, K500\nK501" }, (await notice(at)).version);
	assert.deepEqual(["OS-4", "OS-6"].map((tag) => found[tag] && tag).length, 2);
	assert.equal((await items(at))["OS-4"].hit, "hit");
	assert.equal((await items(at))["OS-6"].state, "left");
	const [first, second] = (await notice(at)).scopes;
	await officer.send(`${at}/scopes/${second.id}/drop`, { reason: "read wrongly" }, (await notice(at)).version);
	assert.deepEqual(await blockers("OS-4"), []);
	await officer.send(`${at}/scopes/${first.id}/drop`, { reason: "x" }, (await notice(at)).version, 409);

	// Stop use: done means out of use. Withdrawn, with a reason, it holds nothing back.
	await answer(inspector, at, ["OS-1"], { answer: "done" });
	assert.match((await blockers("OS-1"))[0], /stays out of use/);
	assert.equal((await items(at))["OS-1"].state, "out_of_use");
	await officer.post(at, { action: "replace" }, (await notice(at)).version);
	assert.equal((await items(at))["OS-1"].state, "left", "something else is asked now");
	await close(at, {}, 422);
	await close(at, { withdrawn: true }, 422);
	await close(at, { closed_reason: "three cannot be found" });
	assert.equal((await blockers("OS-1")).length, 1, "closed with a reason, what is left stays out");
	await officer.send(at, { title: "Other" }, (await notice(at)).version, 409);
});

test("withdrawn by its issuer it holds nothing back", async () => {
	const at = await record({ kind: "hood", maker: "Harrow and Pell" });
	assert.equal((await blockers("SX-HOOD")).length, 1);
	await close(at, { closed_reason: "Withdrawn by letter of 2026-02-01", withdrawn: true });
	assert.deepEqual(await blockers("SX-HOOD"), []);
	assert.deepEqual(await counts(at), [2, 2, 0]);
});

test("inspect before next use: due at once, and only an inspection made since answers it", async () => {
	await inspect(inspector, "advanced", ["PX-GLOVES"]);
	const at = await record({ kind: "gloves", action: "inspect", title: "Seams", action_text: "Look at every seam." });
	const gloves = async () => componentOf(member, "PX-GLOVES");
	assert.equal((await gloves()).state, "awaiting_inspection");
	const due = async () => (await member.get(`/components/${(await gloves()).id}`)).duties.find((duty) => duty.duty === "advanced_inspection");
	assert.match((await due()).reason, /Safety notice S-\d{4}-\d{4} asks for it before the next use: Seams/);
	assert.ok((await due()).source);
	assert.match((await answer(inspector, at, ["PX-GLOVES"], { answer: "done" }, 422)).text, /was not inspected since/);
	// Instants are of whole seconds: the next one is awaited, so that the inspection is not of the same.
	const asked = Date.parse((await notice(at)).notice.asked_at);
	while (Date.now() < asked + 1000) await member.get("/health");
	await inspect(inspector, "advanced", ["PX-GLOVES"]);
	assert.equal((await gloves()).state, "awaiting_inspection", "nobody has said yet that it was looked for");
	await answer(inspector, at, ["PX-GLOVES"], { answer: "done" });
	assert.equal((await gloves()).state, "in_service");
	assert.ok((await notice(at)).answers[0].inspection > 0);
	assert.notEqual((await due()).rule, "safety_notice");
});

test("to be informed holds nothing back and is shown", async () => {
	const at = await record({ kind: "footwear", action: "inform", title: "New laces" });
	assert.deepEqual(await blockers("PX-FOOTWEAR"), []);
	const page = await member.get(`/components/${await idOf(member, "PX-FOOTWEAR")}`);
	assert.deepEqual(page.safety_notices.map((one) => [one.title, one.state]), [["New laces", "informed"]]);
	await close(at, {});
});

test("lists: search, filter, sort, CSV; the officer's mail names them", async () => {
	await record({ kind: "drd", title: "Webbing", due_on: "2026-09-01", issued_on: "2026-02-02" });
	assert.deepEqual((await member.get("/safety-notices?q=webb&state=open&action=stop_use")).rows.map((row) => row.title), ["Webbing"]);
	for (const sort of ["newest", "due", "left", "number"]) assert.ok((await member.get(`/safety-notices?sort=${sort}`)).rows.length >= 4);
	assert.match((await department.json("/safety-notices.csv?q=webbing", { token: member.token })).text, /Webbing,stop_use,2026-09-01,open,2,0,0,2/);
	const [{ id }] = (await member.get("/safety-notices?q=webb")).rows;
	assert.match((await department.json(`/safety-notices/${id}/items.csv`, { token: member.token })).text, /PX-DRD,.*,left,/);
	assert.equal((await department.json("/safety-notices/999/items.csv", { token: member.token })).status, 404);
	await department.stop();
	run(["setting", "--data", department.data, "--name", "officer_email", "--value", "officer@example.org"]);
	run(["notify", "--data", department.data]);
	await department.start();
	const mails = Database.rows(department.data, "SELECT recipient, body FROM mail");
	const officers = mails.filter((mail) => mail.recipient === "officer@example.org");
	assert.match(officers.map((mail) => mail.body).join(), /Safety notice S-\d{4}-\d{4}, Webbing: hit 2, done 0, left 2, by 2026-09-01\./);
	assert.ok(mails.filter((mail) => mail.recipient !== "officer@example.org").every((mail) => !/Safety notice/.test(mail.body)));
});

test("tables: lines and answers in their order, never rewritten, and no inspection made up", async () => {
	const year = new Date().getUTCFullYear(), first = `S-${year}-0900`, second = `S-${year}-0901`;
	await department.stop();
	const notices = "number,issuer,issued_on,title,wrong,action,recorded_on,recorded_by,line,maker,due_on,closed_on,withdrawn\n";
	const row = (number, line, rest = ",,", title = "Lace") => `${number},Ostrow,2026-01-05,${title},They tear.,inspect,2026-01-06,2003,${line},Ostrow,${rest}\n`;
	const answers = "number,tag,turn,answer,answered_on,answered_by,action,hit,edition,revoked_on\n";
	const refused = (kind, text, why) => {
		const before = entries(), result = department.import(kind, text);
		assert.notEqual(result.code, 0, text);
		assert.match(result.err, why);
		assert.equal(entries(), before);
	};
	refused("safety_notices", notices + row(first, 2), /Line 1 of the notice comes first/);
	refused("safety_notices", notices + row(first, 1, ",2026-01-09,"), /who closed it/);
	refused("safety_notices", notices + row(first, 1, ",,yes"), /is closed, with a reason/);
	const brought = department.import("safety_notices", notices + row(first, 1, "2099-01-01,,") + row(first, 2, "2099-01-01,,"));
	assert.match(brought.out, /2 stored/, brought.err);
	assert.match(department.import("safety_notices", notices + row(first, 2, "2099-01-01,,")).out, /0 stored/);
	refused("safety_notices", notices + row(first, 1, "2099-01-01,,", "Laces"), /not rewritten/);
	const answer = (number, turn, what = "not_affected", more = "") => answers + `${number},OS-2,${turn},${what},2026-01-07,2001,inspect,hit,2,${more}\n`;
	refused("safety_answers", answer(second, 1), /no notice of that number/);
	refused("safety_answers", answer(first, 2), /Answer 1 for it comes first/);
	refused("safety_answers", answer(first, 1, "done"), /Name the inspection/);
	refused("safety_answers", answer(first, 1, "not_affected", "2026-01-08"), /Taking back has its day/);
	assert.equal(department.import("safety_answers", answer(first, 1)).code, 0);
	assert.match(department.import("safety_answers", answer(first, 1)).out, /0 stored/);
	refused("safety_answers", answer(first, 1, "sent"), /not rewritten/);
	await department.start();
	const [{ id }] = (await member.get("/safety-notices?q=lace&action=inspect")).rows;
	assert.equal((await items(`/safety-notices/${id}`))["OS-2"].state, "not_affected");
	// The next number goes on from there.
	const next = await record({ maker: "Nobody", action: "inform", kind: "goggles" });
	assert.equal((await notice(next)).notice.number, second);
});

test("a line that could find nothing, or not what it means, is refused wherever it is written", async () => {
	const before = entries(), tables = {}, sound = { maker: "x", serial_from: "K9", serial_to: "K20" };
	const flaws = { maker: ["--", /neither a letter nor a digit/], model: ["(?)", /neither a letter/], serial_from: ["#", /neither a letter/],
		serials: ["K7, --", /neither a letter/], serial_to: ["20", /written otherwise than the number it is to go from/] };
	for (const [entry, [value, says]] of Object.entries(flaws)) {
		for (const path of ["/safety-notices", "/safety-notices/preview"]) {
			const [fault] = (await officer.send(path, { ...text, action: "inform", ...sound, [entry]: value }, null, 422)).doc.errors;
			assert.equal(fault.field, entry);
			assert.match(fault.message, says);
		}
		tables[entry] = { number: "S-SIGNS", issuer: "x", issued_on: "2026-01-05", title: "x", wrong: "x", action: "inform", recorded_on: "2026-01-06", recorded_by: "2003", line: 1, ...sound, [entry]: value };
	}
	const at = await record({ ...sound, action: "inform", maker: "Nobody at all" });
	await officer.send(`${at}/scopes`, { maker: "x", serial_from: "AB100", serial_to: "99" }, (await notice(at)).version, 422);
	await close(at, { withdrawn: true, closed_reason: "recorded to try" });
	assert.equal(entries(), before + 2);
	await department.stop();
	for (const [entry, row] of Object.entries(tables)) {
		const table = `${Object.keys(row)}\n${Object.values(row).map((cell) => `"${cell}"`)}\n`;
		assert.match(department.import("safety_notices", table).err, new RegExp(`column ${entry}: .*${flaws[entry][1].source}`));
	}
	await department.start();
});
