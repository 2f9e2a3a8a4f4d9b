// The whole way by JSON alone with an API token, and by forms as a browser sends
// them: both leave the same rows and the same audit entries.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Database } from "./sqlite.mjs";
import { Department, run } from "./harness.mjs";
import { FormClient, JsonClient, answer, begin, idOf, inspect, sign } from "./inspecting.mjs";
import { plainPng } from "./pictures.mjs";

const findings = {
	"PX-COAT-SHELL": { check_point: "aluminized", defect: "burnt", outcome: "repair", zone: "chest" },
	"PX-FACESHIELD": { check_point: "reflective", defect: "scratched", outcome: "replace", zone: "centre" },
	"PX-TROUSER-SHELL": { check_point: "seams", defect: "seam_open", outcome: "repair", zone: "left_thigh", place: "outer seam, 12 cm above the cuff" },
};
const facts = ["setting", "station", "member", "provider", "ensemble", "component", "issue", "cleaning", "inspection", "inspection_part",
	"finding", "photo", "follow_up", "dispatch", "dispatch_item", "notice", "tablet", "duty", "standing", "member_readiness", "station_strength"];

/** What is on record, taken out as tables, stands elsewhere as it stands here. */
function copyStands(department) {
	const copy = department.copy();
	for (const columns of ["d.state, d.ready_until FROM standing d", "d.duty, d.due_on, d.reason FROM duty d"]) {
		const sql = `SELECT c.tag, ${columns} JOIN component c ON c.id = d.component_id ORDER BY 1, 2`;
		assert.deepEqual(Database.rows(copy.data, sql), Database.rows(department.data, sql));
	}
	copy.remove();
}

async function wholeWay(client, look = () => {}) {
	const coat = await client.get(`/components/${await idOf(client, "PX-COAT-SHELL")}`);
	const review = await inspect(client, { kind: "advanced", ensemble: coat.component.ensemble_id }, [], findings);
	assert.equal(review.blocker_count, 3);
	assert.deepEqual(review.parts.flatMap((part) => part.follow_ups.map((due) => due.kind)), ["coat_liner", "drd"]);
	const out = await client.get(`/components/${coat.component.id}`);
	assert.equal(out.component.state, "out_of_service");
	look();
	const open = (await client.get("/dispatches/new")).candidates;
	assert.equal(open.length, 3);
	const ticket = await client.post("/dispatches", { provider: 1, finding: open.map((candidate) => candidate.finding) });
	await client.post(`${ticket}/send`, {}, (await client.get(ticket)).version);
	assert.equal((await client.get(`/components/${coat.component.id}`)).component.state, "at_provider");
	const sent = await client.get(`${ticket}/return`), results = {};
	for (const item of sent.items) {
		const replaced = item.kind === "faceshield";
		results[`result.${item.id}`] = replaced ? "replaced" : "repaired";
		if (replaced) Object.assign(results, { [`new_tag.${item.id}`]: "PX-FACESHIELD-2", [`new_made.${item.id}`]: "2026-03", [`new_serial.${item.id}`]: "SN-2026-77" });
	}
	await client.post(`${ticket}/return`, results, sent.version);
	assert.equal((await client.get(`/components/${coat.component.id}`)).component.state, "awaiting_inspection");
	for (const tag of ["PX-COAT-SHELL", "PX-TROUSER-SHELL", "PX-FACESHIELD-2"])
		await inspect(client, "return", [tag]);
	await inspect(client, "liner", ["PX-COAT-LINER"]);
	await inspect(client, "advanced", ["PX-DRD"]);
	assert.equal((await client.get(`/components/${coat.component.id}`)).component.state, "in_service");
	const ready = (await client.get("/readiness")).rows.find((row) => row.hazard === "proximity");
	assert.deepEqual([ready.strength, ready.ready], [1, 1]);
	look();
}

let json, form;
before(async () => {
	json = new Department().fill();
	form = new Department().fill();
	const tokens = [json.token("2001"), form.token("2001")];
	const officers = [json.token("2003"), form.token("2003")];
	await Promise.all([json.start(), form.start()]);
	json.client = new JsonClient(json, tokens[0]);
	json.officer = new JsonClient(json, officers[0]);
	form.officer = await new FormClient(form, officers[1]).signIn("2003");
	form.client = await new FormClient(form, tokens[1]).signIn("2001");
});
after(async () => {
	for (const department of [json, form]) {
		await department?.stop();
		department?.remove();
	}
});

/** A tablet's life: added, named anew, given another code, revoked. Secrets differ, and are no rows. */
async function tabletLife(client) {
	const station = (await client.get("/stations")).rows.find((row) => row.code === "ST1").id;
	const made = await client.make("/tablets", { name: "Bay 1", station }), path = `/tablets/${made}`;
	await client.post(path, { name: "Bay 2" }, 1);
	await client.make(`${path}/code`, {}, 2);
	await client.post(`${path}/revoke`, {}, 3);
	assert.equal((await client.get(path)).tablet.standing, "revoked");
}
/** What answers with something shown once, and so leads nowhere: the number of the tablet. */
JsonClient.prototype.make = async function (path, body, version) {
	const { doc } = await this.send(path, body, version);
	assert.match(doc.secret, /^[2-9a-z-]{9}$/);
	return doc.tablet.id;
};
FormClient.prototype.make = async function (path, fields, version) {
	const answer = await fetch(this.department.url + path, { method: "POST", redirect: "manual",
		headers: { accept: "text/html", cookie: this.cookie, "content-type": "application/x-www-form-urlencoded" },
		body: new URLSearchParams({ _token: this.formToken, ...(version ? { _version: version } : {}), ...fields }) });
	const text = await answer.text();
	assert.match(text, /<code>[2-9a-z]{4}-[2-9a-z]{4}<\/code>/);
	return Number(text.match(/\/tablets\/(\d+)\/edit/)[1]);
};

test("a tablet's life by JSON and by forms", async () => {
	await tabletLife(json.officer);
	await tabletLife(form.officer);
});
test("the whole way by JSON alone", () => wholeWay(json.client, () => copyStands(json)));
test("the whole way by forms", () => wholeWay(form.client));

/** One before its finding is written down, one with it, one taken back. */
async function photoLife(client) {
	const id = await begin(client, "advanced", "PX-HOOD"), hood = `/inspections/${id}/parts/${await idOf(client, "PX-HOOD")}`;
	await client.give(`${hood}/findings/photos?point=label&defect=missing`, plainPng());
	await client.give(`${hood}/photos`, plainPng(60, 30));
	await answer(client, id, { "PX-HOOD": { check_point: "label", defect: "missing", outcome: "ask_maker", zone: "crown" } });
	const view = await client.get(`/inspections/${id}`), [found] = view.findings, [whole] = view.parts[0].photos;
	await client.give(`/inspections/${id}/findings/${found.id}/photos`, plainPng(30, 60));
	await client.post(`${whole.url}/withdraw`, {}, 1);
	assert.deepEqual((await client.get(`/inspections/${id}`)).findings[0].photos.map((photo) => photo.width), [160, 30]);
	await sign(client, id);
}
test("photos by JSON and by forms", async () => {
	await photoLife(json.client);
	await photoLife(form.client);
});

const timeless = (value) => JSON.parse(JSON.stringify(value).replace(/\d{4}-\d\d-\d\dT[\d:]+Z/g, "T"));
for (const table of facts)
	test(`the same rows of ${table}`, () => {
		const rows = [json, form].map((department) => timeless(Database.rows(department.data, `SELECT * FROM ${table} ORDER BY 1, 2, 3`)));
		if (!["cleaning", "notice"].includes(table)) assert.ok(rows[0].length > 0);
		assert.deepEqual(rows[1], rows[0]);
	});
test("the same audit entries", () => {
	const entries = [json, form].map((department) => timeless(Database.rows(department.data,
		"SELECT seq, actor, action, records FROM audit_entry WHERE records NOT LIKE '%\"table\":\"account\"%' AND records NOT LIKE '%\"table\":\"token\"%' ORDER BY seq")));
	assert.ok(entries[0].length > 50);
	assert.deepEqual(entries[1], entries[0]);
});
test("both verify, and their derived rows are as the rules compute them", async () => {
	for (const department of [json, form]) {
		await department.stop();
		assert.match(run(["verify", "--data", department.data]), /holds/);
		assert.match(run(["rebuild", "--check", "--data", department.data]), /^0 /);
	}
});

test("inspections made here are those of no other department's tables", () => {
	const table = (department, kind) => run(["export", "--data", department.data, "--kind", kind]);
	const count = () => Database.count(json.data, "inspection"), before = count(), own = table(json, "inspections");
	const [, code] = own.match(/^PW-([0-9a-f]{8})-1,/m);
	assert.match(json.import("inspections", own).out, / 0 stored/);
	assert.match(json.import("findings", table(json, "findings")).out, / 0 stored/);
	const [columns, line] = own.split("\n").map((row) => row.split(",")), at = (name) => columns.indexOf(name);
	const changed = (name, value) => line.with(at(name), value);
	const conclusion = line[at("conclusion")] === "retire" ? "clean_first" : "retire";
	for (const [what, cells, says] of [["no such number", changed("reference", `PW-${code}-999`), /names an inspection made here, but none is signed/],
		["another day", changed("inspected_on", "2026-01-02"), /column inspected_on: This is on record with other values/],
		["another conclusion", changed("conclusion", conclusion), /column conclusion: This is on record with other values/],
		["another part", changed("tag", "SX-HOOD"), /column tag: .* was made here, and this was no part of it/]])
		assert.match(json.import("inspections", own.split("\n")[0] + "\n" + cells.join(",") + "\n", ["--update"]).err, says, what);
	assert.equal(count(), before);
	const theirs = json.import("inspections", table(form, "inspections"));
	assert.equal(theirs.code, 0, theirs.err);
	assert.equal(count(), 2 * before, "the other department's are others, whatever their numbers");
});
