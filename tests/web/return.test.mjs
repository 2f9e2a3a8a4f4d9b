// Ways around a blocker that must not be there: return inspections of gear nobody mended, answers
// older than the repair or than the damage above.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Department } from "./harness.mjs";
import * as inspecting from "./inspecting.mjs";
import { JsonClient, componentOf } from "./inspecting.mjs";

let department, client;
before(async () => {
	department = new Department().fill();
	client = new JsonClient(department, department.token("2001"));
	department.officer = department.token("2003");
	await department.start();
});
after(() => department?.finish());

const get = (path) => client.get(path);
const post = (path, body, version, wanted) => client.send(path, body, version, wanted);
const stateOf = (tag) => componentOf(client, tag);
const begin = (kind, tags) => inspecting.begin(client, kind, ...tags);
const answer = (id, found) => inspecting.answer(client, id, found);
const sign = (id) => inspecting.sign(client, id);
const inspect = (kind, tags, found) => inspecting.inspect(client, kind, tags, found);
const ticketFor = async (tag, send = true) => {
	const component = await inspecting.idOf(client, tag);
	const open = (await get(`/dispatches/new?component=${component}`)).candidates.filter((one) => one.tag === tag);
	const at = (await post("/dispatches", { provider: 1, finding: open.map((one) => one.finding) })).headers.get("location");
	if (send) await post(`${at}/send`, {}, (await get(at)).version);
	return at;
};
async function comesBack(at, result, more = {}) {
	const page = await get(`${at}/return`), body = {};
	for (const item of page.items) {
		body[`result.${item.id}`] = result;
		for (const [name, value] of Object.entries(more)) body[`${name}.${item.id}`] = value;
	}
	await post(`${at}/return`, body, page.version);
}

test("a reflective faceshield to be replaced is not mended by looking at it", async () => {
	await inspect("advanced", ["PX-FACESHIELD"], { "PX-FACESHIELD": { check_point: "reflective", defect: "scratched", outcome: "replace", zone: "centre" } });
	assert.equal((await stateOf("PX-FACESHIELD")).state, "out_of_service");
	assert.equal((await inspect("return", ["PX-FACESHIELD"])).parts[0].conclusion ?? "out_of_service", "out_of_service");
	assert.equal((await stateOf("PX-FACESHIELD")).state, "out_of_service", "nobody replaced it");
	for (const result of ["no_fault_found", "not_repaired"]) {
		await comesBack(await ticketFor("PX-FACESHIELD"), result);
		await inspect("return", ["PX-FACESHIELD"]);
		assert.equal((await stateOf("PX-FACESHIELD")).state, "out_of_service", result);
	}
	await comesBack(await ticketFor("PX-FACESHIELD"), "replaced", { new_tag: "PX-FS-NEW", new_made: "2026-03", new_serial: "SN-2026-77" });
	assert.equal((await stateOf("PX-FACESHIELD")).state, "retired");
	assert.equal((await stateOf("PX-FS-NEW")).state, "awaiting_inspection");
	await inspect("return", ["PX-FS-NEW"]);
	assert.equal((await stateOf("PX-FS-NEW")).state, "in_service");
});

for (const [kind, half] of [["GLOVES", { check_point: "shell", defect: "hole", outcome: "replace", zone: "left_thumb" }],
	["FOOTWEAR", { check_point: "pair", defect: "incomplete_pair", outcome: "replace", zone: "right_sole" }]])
	test(`what is wrong with one of a pair is wrong with the pair, and the pair is replaced: ${kind.toLowerCase()}`, async () => {
		const tag = `SX-${kind}`, member = (await stateOf(tag)).holder, before = await stateOf(tag);
		const waits = async () => (await get(`/readiness/members/${member}`)).rows[0].obstacles.filter((one) => one.code === "blocked").map((one) => one.component);
		assert.equal((await inspect("routine", [tag], { [tag]: half })).parts[0].conclusion, "out_of_service", "a look after use asks for both");
		assert.equal((await stateOf(tag)).state, "out_of_service");
		assert.deepEqual(await waits(), [before.id], "nobody is ready with one of them");
		await comesBack(await ticketFor(tag), "replaced", { new_tag: `${tag}-NEW`, new_made: "2026-03", new_serial: "SN-2026-90" });
		const old = await stateOf(tag), fresh = await stateOf(`${tag}-NEW`);
		assert.deepEqual([old.state, old.replaced_by_tag], ["retired", `${tag}-NEW`], "both of the old pair");
		assert.deepEqual([fresh.kind, fresh.kind_label, fresh.state], [before.kind, before.kind_label, "awaiting_inspection"]);
		assert.match(fresh.kind_label, /pair/);
		await inspect("return", [`${tag}-NEW`]);
		assert.equal((await stateOf(`${tag}-NEW`)).state, "in_service");
		assert.deepEqual(await waits(), []);
	});

test("what is to be repaired needs a repair, and a look after it", async () => {
	const seam = { check_point: "seams", defect: "seam_open", outcome: "repair", zone: "left_thigh", place: "outer seam, 12 cm above the cuff" };
	await inspect("advanced", ["PX-TROUSER-SHELL"], { "PX-TROUSER-SHELL": seam });
	await inspect("return", ["PX-TROUSER-SHELL"]);
	assert.equal((await stateOf("PX-TROUSER-SHELL")).state, "out_of_service", "nobody mended it");
	const early = await begin("return", ["PX-TROUSER-SHELL"]);
	await answer(early);
	const ticket = await ticketFor("PX-TROUSER-SHELL");
	await sign(early);
	assert.equal((await stateOf("PX-TROUSER-SHELL")).state, "at_provider", "it is away");
	await comesBack(ticket, "not_repaired");
	await inspect("return", ["PX-TROUSER-SHELL"]);
	assert.equal((await stateOf("PX-TROUSER-SHELL")).state, "out_of_service", "it came back as it went");
	await comesBack(await ticketFor("PX-TROUSER-SHELL"), "repaired");
	assert.notEqual((await stateOf("PX-TROUSER-SHELL")).state, "in_service", "nobody looked at it yet");
	await inspect("return", ["PX-TROUSER-SHELL"]);
	assert.equal((await stateOf("PX-TROUSER-SHELL")).state, "in_service");
});

test("wristlets are renewed, which is a repair", async () => {
	const page = await get(`/inspections/${await begin("liner", ["PX-COAT-LINER"])}/review`);
	await post(`/inspections/${page.inspection.id}/abandon`, { reason: "only looked at" }, page.inspection.version);
	await inspect("liner", ["PX-COAT-LINER"], { "PX-COAT-LINER": { check_point: "wristlets", defect: "runs", outcome: "renew", zone: "left_wristlet" } });
	await comesBack(await ticketFor("PX-COAT-LINER"), "repaired");
	await inspect("return", ["PX-COAT-LINER"]);
	assert.equal((await stateOf("PX-COAT-LINER")).state, "in_service");
});

test("a return inspection of the morning is none for what went away and came back after it", async () => {
	await inspect("return", ["PX-GLOVES"]);
	await inspect("advanced", ["PX-GLOVES"], { "PX-GLOVES": { check_point: "soiling", defect: "soiled", outcome: "clean", zone: "left_palm" } });
	await comesBack(await ticketFor("PX-GLOVES"), "repaired");
	const { id, version, state } = await stateOf("PX-GLOVES");
	assert.equal(state, "out_of_service", "cleaned before anybody looks at it");
	await post(`/components/${id}/cleanings`, { class: "advanced", reason: "soiled", performed_by: "Clearwater Wash", done_after: true }, version);
	assert.equal((await stateOf("PX-GLOVES")).state, "awaiting_inspection", "nobody looked at it since");
	await inspect("return", ["PX-GLOVES"]);
	assert.equal((await stateOf("PX-GLOVES")).state, "in_service");
});

test("what came back and was exposed since is out of service until it is cleaned", async () => {
	await inspect("advanced", ["PX-GLOVES"], { "PX-GLOVES": { check_point: "seams", defect: "stitches_broken", outcome: "repair", override_reason: "The maker says how to sew it", zone: "left_palm", place: "Beside the thumb" } });
	await comesBack(await ticketFor("PX-GLOVES"), "repaired");
	const { id, version, state } = await stateOf("PX-GLOVES");
	assert.equal(state, "awaiting_inspection");
	await post("/exposures", { component: [id], cause: "combustion" });
	assert.equal((await stateOf("PX-GLOVES")).state, "out_of_service");
	await post(`/components/${id}/cleanings`, { class: "advanced", reason: "smoke", performed_by: "Clearwater Wash", done_after: true }, version);
	assert.equal((await stateOf("PX-GLOVES")).state, "awaiting_inspection");
});

test("a liner looked at before the burn above it was known is due all the same", async () => {
	const early = await begin("liner", ["PX-COAT-LINER"]);
	await answer(early);
	// The next second, so that one instant is before the other.
	const began = Date.now();
	while (Math.floor(Date.now() / 1000) <= Math.floor(began / 1000)) await get("/health");
	await inspect("advanced", ["PX-COAT-SHELL"], { "PX-COAT-SHELL": { check_point: "aluminized", defect: "burnt", outcome: "repair", zone: "chest" } });
	assert.equal((await stateOf("PX-COAT-LINER")).state, "awaiting_inspection");
	await sign(early);
	assert.equal((await stateOf("PX-COAT-LINER")).state, "awaiting_inspection", "the answers are older than the burn");
	await inspect("liner", ["PX-COAT-LINER"]);
	assert.equal((await stateOf("PX-COAT-LINER")).state, "in_service");
});

test("what lies beneath damage found in the same inspection does not return to service", async () => {
	const burnt = { check_point: "aluminized", defect: "burnt", outcome: "repair", zone: "seat" };
	const trousers = ["PX-TROUSER-SHELL", "PX-TROUSER-LINER"];
	const id = await begin("advanced", trousers);
	await answer(id, { "PX-TROUSER-SHELL": burnt });
	const { parts, ...review } = await sign(id), by = (tag, list = parts) => list.find((part) => part.tag === tag);
	assert.equal(by("PX-TROUSER-LINER").conclusion, "out_of_service");
	assert.match(by("PX-TROUSER-LINER").blockers[0].text, /Burnt.*\(PX-TROUSER-SHELL\)/);
	assert.deepEqual(by("PX-TROUSER-SHELL").follow_ups.map((one) => one.parts.map((part) => part.tag)), [["PX-TROUSER-LINER"]]);
	assert.deepEqual([review.blocker_count, review.due_count], [1, 1]);
	const signed = await get(`/inspections/${id}`);
	assert.equal(by("PX-TROUSER-LINER", signed.parts).conclusion, "out_of_service", "and so it was signed");
	assert.equal((await stateOf("PX-TROUSER-LINER")).state, "awaiting_inspection");
	await inspect("liner", ["PX-TROUSER-LINER"]);
	assert.equal((await stateOf("PX-TROUSER-LINER")).state, "in_service");
});

test("who may not do a repair gets no ticket for it", async () => {
	const providers = { LAPSED: { class: "verified_provider", verified_until: "2020-01-31" }, BASIC: { class: "trained_organization" } }, ids = {};
	for (const [code, fields] of Object.entries(providers)) {
		const made = await department.json("/providers", { token: department.officer, body: { code, name: `${code} Works`, ...fields } });
		assert.equal(made.status, 201, made.text);
		ids[code] = Number(made.headers.get("location").split("/")[2]);
	}
	const open = (await get("/dispatches/new")).candidates.filter((one) => one.tag === "PX-COAT-SHELL");
	assert.equal(open.length, 1);
	const offered = (await get("/dispatches/new")).form.find((one) => one.name === "provider").options.map((one) => one.label);
	assert.ok(offered.includes("Remend Works") && !offered.includes("LAPSED Works"), "only whom a ticket can go to");
	const refused = async (provider) => (await post("/dispatches", { provider, finding: open.map((one) => one.finding) }, null, 422)).doc.errors;
	assert.match((await refused(ids.LAPSED))[0].message, /was verified until 2020-01-31/);
	const [advanced] = await refused(ids.BASIC);
	assert.equal(advanced.field, "finding");
	assert.match(advanced.message, /BASIC Works \(manufacturer-trained\) may not do this advanced repair: .* basic repairs; advanced repairs .* are for a verified one/);
	// One that lapses between making the ticket and sending it.
	const ticket = await ticketFor("PX-COAT-SHELL", false);
	const remend = await get("/providers/1");
	const change = (verified_until, version) => department.json("/providers/1", { token: department.officer, body: { verified_until }, headers: { "if-match": `"${version}"` } });
	assert.equal((await change("2020-01-31", remend.version)).status, 200);
	assert.equal((await post(`${ticket}/send`, {}, (await get(ticket)).version, 422)).doc.errors[0].field, "provider");
	assert.equal((await change("2099-01-31", remend.version + 1)).status, 200);
	await post(`${ticket}/send`, {}, (await get(ticket)).version);
	assert.match((await department.json(`${ticket}/ticket.csv`, { token: client.token })).text, /repair_label[\s\S]*Advanced repair/);
});

test("whose training lapsed signs nothing but a routine look; the draft waits for it", async () => {
	const me = (await get("/members?q=2001")).rows[0].id;
	const trained = async (trained_until) => {
		const { version } = await get(`/members/${me}`);
		const answer = await department.json(`/members/${me}`, { token: department.officer, body: { trained_until }, headers: { "if-match": `"${version}"` } });
		assert.equal(answer.status, 200, answer.text);
	};
	await trained("2020-06-30");
	const id = await begin("advanced", ["PX-HOOD"]);
	await answer(id);
	const review = await get(`/inspections/${id}/review`);
	const refused = await post(`/inspections/${id}/signature`, { confirmed: true }, review.inspection.version, 409);
	assert.match(refused.doc.detail, /training as an inspector was valid until 2020-06-30/);
	await trained("");
	const unknown = await post(`/inspections/${id}/signature`, { confirmed: true }, (await get(`/inspections/${id}/review`)).inspection.version, 409);
	assert.match(unknown.doc.detail, /not on record/);
	await trained("2099-06-30");
	await sign(id);
	assert.equal((await get(`/inspections/${id}`)).inspection.state, "signed");
	await trained("2020-06-30");
	await inspect("routine", ["PX-GLOVES"]);
	await trained("2099-06-30");
});

test("parts worn by the same member are beneath too, without an ensemble", async () => {
	const loose = (tag, kind) => ({ tag, kind, hazard: "proximity", station: 1, made: "2024-02", in_service_on: "2026-01-10", maker: "Harrow and Pell", reflective: kind === "coat_shell" });
	const officer = department.officer;
	for (const [tag, kind] of [["LOOSE-CS", "coat_shell"], ["LOOSE-CL", "coat_liner"]]) {
		const made = await department.json("/components", { token: officer, body: loose(tag, kind) });
		assert.equal(made.status, 201, made.text);
		await post(`/components/${await inspecting.idOf(client, tag)}/issue`, { member: (await get("/members?q=2002")).rows[0].id, condition: "new" }, (await stateOf(tag)).version);
	}
	await inspect("advanced", ["LOOSE-CS"], { "LOOSE-CS": { check_point: "aluminized", defect: "burnt", outcome: "repair", zone: "chest" } });
	assert.match(JSON.stringify((await stateOf("LOOSE-CL")).blockers), /Damage may have gone through/);
});

test("a ticket is expected back on a day to come; what its return lacks says of which part", async () => {
	await inspect("advanced", ["PX-GLOVES", "PX-FOOTWEAR"], { "PX-GLOVES": { check_point: "shell", defect: "hole", outcome: "replace", zone: "left_thumb" },
		"PX-FOOTWEAR": { check_point: "pair", defect: "incomplete_pair", outcome: "replace", zone: "right_sole" } });
	const open = (await get("/dispatches/new")).candidates.filter((one) => ["PX-GLOVES", "PX-FOOTWEAR"].includes(one.tag)), finding = open.map((one) => one.finding);
	assert.ok(open.length >= 2);
	const [late] = (await post("/dispatches", { provider: 1, finding, expected_on: inspecting.earlier(1) }, null, 422)).doc.errors;
	assert.equal(late.field, "expected_on");
	assert.match(late.message, /is past\. Say a day to come/);
	const at = (await post("/dispatches", { provider: 1, finding, expected_on: inspecting.earlier(0) })).headers.get("location");
	await post(`${at}/send`, {}, (await get(at)).version);
	const page = await get(`${at}/return`);
	const missing = (await post(`${at}/return`, {}, page.version, 422)).doc.errors.map((one) => one.message);
	assert.deepEqual(missing, page.items.map((item) => `Result for ${item.tag}, ${item.defect_label} is required. Choose one.`));
});
