// Exposed gear is contaminated until the cleaning it asks for, whatever else is recorded of it.
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

const version = async (tag) => (await componentOf(client, tag)).version;
const expose = async (tag, more, who = client) => who.post("/exposures", { component: [await idOf(client, tag)], cause: "combustion", ...more });
const clean = async (tag, more) => client.post(`/components/${await idOf(client, tag)}/cleanings`,
	{ class: "advanced", reason: "exposed", performed_by: "Clearwater Wash", ...more }, await version(tag));
const codes = async (tag) => (await componentOf(client, tag)).blockers.map((blocker) => blocker.code);

test("smoke asks for an advanced cleaning; until then nobody gets it or inspects it", async () => {
	await clean("PX-HOOD", { on: earlier(10) });
	await expose("PX-HOOD", { exposed_on: earlier(3), incident: "2026-0099, warehouse" });
	const hood = await componentOf(client, "PX-HOOD"), page = await client.get(`/components/${hood.id}`);
	assert.deepEqual([page.can.inspect, page.can.clean_first], [false, true], "what comes first is offered first");
	assert.equal(hood.state, "out_of_service");
	assert.match(hood.blockers[0].text, /products of combustion on .* until an advanced cleaning/);
	const due = page.duties.find((duty) => duty.duty === "advanced_cleaning");
	assert.equal(due.due_on, earlier(3));
	assert.match(due.source, /NFPA 1851/);
	await client.post(`/components/${hood.id}/return`, { condition: "good" }, hood.version);
	await client.send(`/components/${hood.id}/issue`, { member: 1, condition: "good" }, await version("PX-HOOD"), 409);
	for (const kind of ["advanced", "return"])
		assert.match((await client.send("/inspections", { kind, component: [hood.id] }, null, 409)).doc.detail, /PX-HOOD is contaminated/);
	await inspecting.inspect(client, "routine", ["PX-HOOD"]); // the wearer may look
	await clean("PX-HOOD", { class: "routine", on: earlier(1) });
	assert.deepEqual(await codes("PX-HOOD"), ["contaminated"], "a routine cleaning is not enough");
	await clean("PX-HOOD", { on: earlier(4) });
	assert.deepEqual(await codes("PX-HOOD"), ["contaminated"], "nor one before it");
	await clean("PX-HOOD", { on: earlier(1) });
	assert.deepEqual(await codes("PX-HOOD"), []);
	assert.equal((await client.get(`/components/${hood.id}`)).cleaning_count, 3);
});

test("on one day the order of writing down decides nothing", async () => {
	for (const [tag, steps] of [["PX-GLOVES", ["expose", "clean"]], ["PX-FOOTWEAR", ["clean", "expose"]]]) {
		for (const step of steps) await (step === "expose" ? expose(tag, { exposed_on: today }) : clean(tag, { on: today, done_after: false }));
		assert.deepEqual(await codes(tag), ["contaminated"], steps.join());
	}
	const asked = await client.send(`/components/${await idOf(client, "PX-GLOVES")}/cleanings`,
		{ class: "advanced", reason: "exposed", performed_by: "I", on: today }, await version("PX-GLOVES"), 422);
	assert.equal(asked.doc.errors[0].field, "done_after", "which was first is asked where it decides something");
	await clean("PX-GLOVES", { on: today, done_after: true });
	assert.deepEqual(await codes("PX-GLOVES"), [], "who says it was done after it ends it");
});

test("found soiled and cleaned on one day: the same", async () => {
	const soiled = { "SX-GLOVES": { check_point: "soiling", defect: "soiled", outcome: "clean", zone: "left_back" } };
	await clean("SX-GLOVES", { on: today });
	await inspecting.inspect(client, "routine", ["SX-GLOVES"], soiled);
	assert.deepEqual(await codes("SX-GLOVES"), ["finding"]);
	await clean("SX-GLOVES", { on: today, class: "routine" });
	await clean("SX-GLOVES", { on: today, done_after: false });
	assert.deepEqual(await codes("SX-GLOVES"), ["finding"], "it may have been found soiled after that");
	const { id } = await componentOf(client, "SX-GLOVES");
	const asked = await client.send(`/components/${id}/cleanings`, { class: "specialized", reason: "soiled", performed_by: "I" }, await version("SX-GLOVES"), 422);
	assert.match(asked.doc.errors[0].message, /exposed or found soiled on that day too/);
	await clean("SX-GLOVES", { done_after: true });
	assert.deepEqual(await codes("SX-GLOVES"), []);
});

test("chemicals ask for a specialized cleaning, which serves smoke too", async () => {
	await expose("PX-COAT-SHELL", { cause: "chemicals", exposed_on: earlier(5), contaminants: "hydraulic oil additive" });
	await expose("PX-COAT-SHELL", { exposed_on: earlier(5) });
	await clean("PX-COAT-SHELL", { on: earlier(2) });
	assert.deepEqual(await codes("PX-COAT-SHELL"), ["contaminated"]);
	const page = await client.get(`/components/${await idOf(client, "PX-COAT-SHELL")}`);
	assert.equal(page.duties.find((duty) => duty.duty === "specialized_cleaning").due_on, earlier(5));
	await clean("PX-COAT-SHELL", { class: "specialized", on: earlier(1) });
	assert.deepEqual(await codes("PX-COAT-SHELL"), []);
	await expose("PX-OVERCOVER", { cause: "cbrn", exposed_on: earlier(1) });
	assert.match((await componentOf(client, "PX-OVERCOVER")).blockers[0].text, /One department retires/);
});

test("exposed while it is being inspected, it concludes clean first", async () => {
	const id = await inspecting.begin(client, "advanced", "PX-HELMET");
	await inspecting.answer(client, id);
	await expose("PX-HELMET", { cause: "fuels", exposed_on: earlier(1) });
	await inspecting.sign(client, id);
	assert.equal((await client.get(`/inspections/${id}`)).parts[0].conclusion, "clean_first");
	assert.deepEqual(await codes("PX-HELMET"), ["contaminated", "not_clean"]);
});

test("an exposure written down late: what was inspected before its cleaning is inspected again", async () => {
	const tag = "SX-TROUSER-SHELL", { id } = await componentOf(client, tag), due = async () =>
		(await client.get(`/components/${id}`)).duties.find((duty) => duty.duty === "advanced_inspection").due_on;
	const before = await due();
	const review = await inspecting.inspect(client, "advanced", [tag]);
	const counted = await due();
	assert.notEqual(counted, before);
	await expose(tag, { exposed_on: today });
	assert.deepEqual([await codes(tag), await due()], [["contaminated"], counted], "on the day itself it may have come after the look");
	await expose(tag, { exposed_on: earlier(2), cause: "fuels" });
	assert.deepEqual(await codes(tag), ["contaminated", "contaminated", "not_clean"]);
	assert.equal(await due(), before, "it was not done");
	const inspection = await client.get(`/inspections/${review.inspection.id}`);
	const { exposure, tainted } = await client.get(`/exposures/${inspection.parts[0].tainted_by}`);
	assert.deepEqual([exposure.exposed_on, tainted[0].inspection, inspection.inspection.inspected_on], [earlier(2), review.inspection.id, today]);
	await clean(tag, { class: "specialized", on: today, done_after: true });
	assert.deepEqual(await codes(tag), [], "cleaned on the day of the look: cleaned before it, as the work goes");
});

test("a thorough look at contaminated gear is still to be done", async () => {
	const thorough = async () => (await codes("PX-TROUSER-LINER")).includes("thorough_inspection");
	await inspecting.inspect(client, "advanced", ["PX-TROUSER-SHELL"], { "PX-TROUSER-SHELL": { check_point: "aluminized", defect: "burnt", zone: "left_lower_leg", outcome: "repair" } });
	assert.equal(await thorough(), true);
	await inspecting.inspect(client, "liner", ["PX-TROUSER-LINER"]);
	assert.equal(await thorough(), false);
	await expose("PX-TROUSER-LINER", { exposed_on: earlier(1) });
	assert.equal(await thorough(), true);
	await clean("PX-TROUSER-LINER", { on: today });
	await inspecting.inspect(client, "liner", ["PX-TROUSER-LINER"]);
	assert.deepEqual(await codes("PX-TROUSER-LINER"), []);
});

test("a cleaning beyond what gear stands is confirmed, noted, and asks for an inspection", async () => {
	const path = `/components/${await idOf(client, "SX-COAT-SHELL")}/cleanings`, base = { class: "advanced", reason: "soiled", performed_by: "Clearwater Wash", on: earlier(2) };
	const refused = async (more, field) => assert.equal((await client.send(path, { ...base, ...more }, await version("SX-COAT-SHELL"), 422)).doc.errors[0].field, field, JSON.stringify(more));
	for (const more of [{ water: 106, water_unit: "f" }, { water: 41, water_unit: "c" }, { ph: "5.90" }, { ph: "10.60" }, { force_g: 101 },
		{ drum_radius_cm: 40, drum_turns: 480 }, { bleach: true }, { method: "machine", washer: "top" }, { load_percent: 76 }, { prepared: false }, { dry: 106, dry_unit: "f" }, { dry: 41, dry_unit: "c" }]) await refused(more, "confirmed");
	await refused({ water: 40 }, "water_unit");
	await refused({ water: 101, water_unit: "c" }, "water");
	await refused({ drum_turns: 400 }, "drum_radius_cm");
	await refused({ drum_radius_cm: 40, drum_turns: 400, force_g: 80 }, "force_g");
	await refused({ method: "hand", washer: "front" }, "washer");
	await refused({ method: "machine", load_percent: 101 }, "load_percent");
	await refused({ drum_radius_cm: 200, drum_turns: 3000 }, "drum_turns");
	await refused({ drum_radius_cm: 5, drum_turns: 1 }, "drum_turns");
	await refused({ dry: 40 }, "dry_unit");
	await refused({ dry: 251, dry_unit: "c" }, "dry");
	await refused({ water: 140, water_unit: "f", confirmed: true }, "note");
	await client.send(path, { ...base, water: 105, water_unit: "f", ph: "6.00", force_g: 100, method: "machine", washer: "front", load_percent: 75, prepared: true, dried: "machine", dry: 40, dry_unit: "c" }, await version("SX-COAT-SHELL"));
	assert.ok(!(await client.get(`/components/${await idOf(client, "SX-COAT-SHELL")}`)).cleanings[0].is_beyond);
	await client.send(path, { ...base, on: earlier(1), water: 60, water_unit: "c", confirmed: true, note: "The thermostat was wrong." }, await version("SX-COAT-SHELL"));
	const page = await client.get(`/components/${await idOf(client, "SX-COAT-SHELL")}`), due = page.duties.find((duty) => duty.duty === "advanced_inspection");
	assert.equal(page.cleanings[0].water_label, "140 °F (60 °C)");
	assert.equal(due.due_on, earlier(1));
	assert.match(due.reason, /beyond what gear stands/);
	await inspecting.inspect(client, "advanced", ["SX-COAT-SHELL"]);
	assert.notEqual((await client.get(`/components/${page.component.id}`)).duties.find((duty) => duty.duty === "advanced_inspection").due_on, earlier(1));
	const washed = page.cleanings[1];
	assert.deepEqual([page.cleaning_count, page.cleaned_last_on, washed.dry_label, washed.dried_label], [2, earlier(1), "104 °F (40 °C)", "In a tumble dryer"]);
	const tumbled = await client.send(`/components/${await idOf(client, "PX-COAT-SHELL")}/cleanings`, { ...base, dried: "machine" }, await version("PX-COAT-SHELL"), 422);
	assert.match(tumbled.doc.errors[0].message, /aluminized parts are never machine dried/);
	await refusedByMachine("PX-COAT-SHELL", /aluminized parts are never machine washed/);
	await refusedByMachine("SX-HELMET", /washed by hand/);
});
async function refusedByMachine(tag, says) {
	const answer = await client.send(`/components/${await idOf(client, tag)}/cleanings`, { class: "routine", reason: "soiled", performed_by: "I", method: "machine" }, await version(tag), 422);
	assert.match(answer.doc.errors[0].message, says);
}

test("members speak of what they wear; the officer takes back what was recorded in error", async () => {
	await expose("SX-HOOD", { exposed_on: earlier(1) }, member);
	await member.send("/exposures", { component: [await idOf(client, "PX-SHROUD")], cause: "fuels" }, null, 403);
	await member.send("/exposures", { component: [await idOf(client, "SX-HOOD")], cause: "smoke" }, null, 422);
	await member.send("/exposures", { component: [await idOf(client, "SX-HOOD")], cause: "fuels", exposed_on: "2099-01-01" }, null, 422);
	const worn = (await member.get("/exposures/new")).worn.map((part) => part.tag);
	assert.ok(worn.includes("SX-COAT-SHELL") && !worn.includes("PX-HOOD"), "one's own gear is offered");
	await department.stop();
	assert.equal(department.import("components", "tag,kind,hazard,station,ensemble,line,maker,made,in_service_on,holder,issued_on\nSX2-HOOD,hood,structural,ST1,SX-2,second,Harrow,2024-02,2026-01-10,2002,2026-01-10\nSX-LOAN,hood,structural,ST1,,,Harrow,2024-02,2026-01-10,2002,2026-01-10\n").code, 0);
	await department.start();
	const offered = Object.fromEntries((await member.get("/exposures/new")).worn.map((part) => [part.tag, part.is_selected]));
	assert.deepEqual([offered["SX-COAT-SHELL"], offered["SX-LOAN"], offered["SX2-HOOD"]], [true, true, false], "one outfit is ticked, the other offered");
	const [{ id }] = (await officer.get("/exposures?state=open&q=sx-hood")).rows, at = `/exposures/${id}`;
	await client.send(`${at}/revoke`, { reason: "never in there" }, (await client.get(at)).version, 403);
	await officer.post(`${at}/revoke`, { reason: "He stayed outside." }, (await officer.get(at)).version);
	assert.deepEqual(await codes("SX-HOOD"), []);
	assert.equal((await officer.get("/exposures?state=revoked")).total, 1);
	assert.match((await department.json("/exposures.csv?state=revoked", { token: client.token })).text, /SX-HOOD,.*He stayed outside\./);
});
