// What was exposed stands elsewhere as it stands here, however it came about.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Database } from "./sqlite.mjs";
import { Department, kinds, run } from "./harness.mjs";
import { JsonClient, answer, begin, componentOf, idOf, inspect, sign, earlier } from "./inspecting.mjs";

let department, client, officer;
before(async () => {
	department = new Department().fill();
	client = new JsonClient(department, department.token("2001"));
	officer = new JsonClient(department, department.token("2003"));
	await department.start();
});
after(() => department?.finish());

const expose = async (tag, more) => client.post("/exposures", { component: [await idOf(client, tag)], cause: "combustion", ...more });
const clean = async (tag, more) => {
	const { id, version } = await componentOf(client, tag);
	return client.post(`/components/${id}/cleanings`, { class: "advanced", reason: "exposed", performed_by: "Clearwater Wash", ...more }, version);
};
const codes = async (tag) => (await componentOf(client, tag)).blockers.map((blocker) => blocker.code);

/** Tables taken out, and in elsewhere: the same tables come out of there, and each part stands the same. */
function copyStands() {
	const copy = new Department();
	try {
		for (const kind of kinds) {
			const table = run(["export", "--data", department.data, "--kind", kind]), result = copy.import(kind, table, ["--update"]);
			assert.equal(result.code, 0, `${kind}: ${result.err}`);
			assert.equal(run(["export", "--data", copy.data, "--kind", kind]), table, kind);
			assert.match(copy.import(kind, table).out, / 0 stored/, kind);
		}
		const sql = "SELECT c.tag, d.state, d.ready_until, d.blockers ->> '$[0].code' AS code FROM standing d JOIN component c ON c.id = d.component_id ORDER BY 1";
		assert.deepEqual(Database.rows(copy.data, sql), Database.rows(department.data, sql));
	} finally {
		copy.remove();
	}
}

test("contaminated while it was inspected: cleaned, it waits for the inspection that was not finished", async () => {
	const id = await begin(client, "advanced", "PX-HELMET");
	await answer(client, id);
	await expose("PX-HELMET", { cause: "fuels", exposed_on: earlier(1) });
	await sign(client, id);
	await clean("PX-HELMET", { class: "specialized", done_after: true });
	assert.deepEqual(await codes("PX-HELMET"), ["not_clean"]);
	copyStands();
});

test("recorded in error and again rightly, on one day: two, here and elsewhere", async () => {
	await expose("PX-HOOD", { exposed_on: earlier(2), contaminants: "smoke" });
	const [{ id }] = (await officer.get("/exposures?state=open&q=px-hood")).rows;
	await officer.post(`/exposures/${id}/revoke`, { reason: "It was foam." }, (await officer.get(`/exposures/${id}`)).version);
	await expose("PX-HOOD", { exposed_on: earlier(2), contaminants: "foam, then smoke" });
	assert.deepEqual(await codes("PX-HOOD"), ["contaminated"]);
	copyStands();
});

test("a part named twice is exposed once, or nothing is stored", async () => {
	const gloves = await idOf(client, "PX-GLOVES");
	const refused = await client.send("/exposures", { component: [gloves, gloves], cause: "fuels" }, null, 422);
	assert.match(refused.doc.errors[0].message, /named twice/);
	assert.deepEqual(await codes("PX-GLOVES"), []);
});

test("what blocks leads to the exposure that tells why", async () => {
	await expose("PX-SHROUD", { exposed_on: earlier(1) });
	const { blockers } = await componentOf(client, "PX-SHROUD");
	assert.equal((await client.get(`/exposures/${blockers[0].exposure}`)).exposure.tag, "PX-SHROUD");
	await inspect(client, "advanced", ["SX-HOOD"], { "SX-HOOD": { check_point: "fabric", defect: "hole", outcome: "replace", zone: "crown" } });
	for (const [tag, link] of [["PX-SHROUD", /class="blocker"><a href="\/exposures\/\d+">/], ["SX-HOOD", /class="blocker"><a href="\/findings\/\d+">/]]) {
		const page = await fetch(`${department.url}/components/${await idOf(client, tag)}`, { headers: { accept: "text/html", authorization: `Bearer ${client.token}` } });
		assert.match(await page.text(), link);
	}
});

test("in a table, too, what is beyond what gear stands is confirmed and noted", () => {
	const elsewhere = new Department().fill(), columns = "tag,cleaned_on,class,reason,performed_by,method,water_mf,ph_hundredths,force_g,bleach,dried,dry_mf,beyond,note,washer,load_percent,prepared\n";
	const wash = (rest) => elsewhere.import("cleanings", columns + rest + ",".repeat(columns.split(",").length - rest.split(",").length) + "\n");
	const due = (tag) => Database.rows(elsewhere.data, `SELECT d.due_on FROM duty d JOIN component c ON c.id = d.component_id WHERE c.tag = '${tag}' AND d.duty = 'advanced_inspection'`)[0].due_on;
	try {
		for (const [rest, says] of [["SX-HOOD,2026-03-01,advanced,soiled,Wash,,106000,,,,,,,Too hot", /wash water at most/i], ["SX-HOOD,2026-03-01,advanced,soiled,Wash,,,590,,,,,yes,", /pH/],
			["SX-HOOD,2026-03-01,advanced,soiled,Wash,,,,101,,,,no,Spun", /extraction/i], ["SX-HELMET,2026-03-01,advanced,soiled,Wash,machine,,,,,,,,Tumbled", /by hand/],
			["PX-SHROUD,2026-03-01,routine,soiled,Wash,machine,,,,,,,,Tumbled", /aluminized/], ["SX-HOOD,2026-03-01,advanced,soiled,Wash,,,,,yes,,,,Bleached", /bleach/],
			["SX-HOOD,2026-03-01,advanced,soiled,Wash,,,,,,cabinet,106000,,Too hot", /air it is dried in at most|dried in air/i], ["SX-HOOD,2026-03-01,advanced,soiled,Wash,machine,,,,,,,,,top,,", /no top-loading washer/],
			["SX-HOOD,2026-03-01,advanced,soiled,Wash,machine,,,,,,,,,front,80,", /drum is at most 75 %/], ["SX-HOOD,2026-03-01,advanced,soiled,Wash,machine,,,,,,,,,,,no", /shell and liner apart/], ["PX-SHROUD,2026-03-01,routine,soiled,Wash,,,,,,machine,,,", /machine dried/]]) {
			const refused = wash(rest);
			assert.equal(refused.code, 1, rest);
			assert.match(refused.err, says);
			assert.match(refused.err, /column beyond/);
		}
		const before = due("SX-HOOD"), within = "SX-HOOD,2026-03-01,advanced,soiled,Wash,machine,105000,1050,100,no,machine,105000,,,front,75,yes";
		assert.match(wash(within.replace("Wash,machine", "Wash,hand")).err, /column washer: A washer is for what was washed by machine/);
		assert.equal(wash(within).code, 0);
		assert.equal(due("SX-HOOD"), before);
		const hot = "SX-HOOD,2026-03-02,advanced,soiled,Wash,,106000,,,,,,yes,The thermostat was wrong";
		assert.match(wash(hot).out, /1 stored/);
		assert.equal(due("SX-HOOD"), "2026-03-02");
		assert.match(wash(hot).out, / 0 stored/);
		assert.match(wash(hot.replace("106000", "107000")).err, /column water_mf: This is on record with other values/);
		const table = run(["export", "--data", elsewhere.data, "--kind", "cleanings"]);
		const copy = new Department().fill();
		assert.match(copy.import("cleanings", table).out, /2 stored/);
		assert.equal(run(["export", "--data", copy.data, "--kind", "cleanings"]), table);
		copy.remove();
	} finally {
		elsewhere.remove();
	}
});
