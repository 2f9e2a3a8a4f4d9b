// Inspections that do not run straight: gear that is not clean, labels that nobody can compare,
// findings of another point, parts named twice.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Department, run } from "./harness.mjs";
import * as inspecting from "./inspecting.mjs";
import { JsonClient, componentOf } from "./inspecting.mjs";

let department, client;
before(async () => {
	department = new Department().fill();
	client = new JsonClient(department, department.token("2001"));
	await department.start();
});
after(async () => {
	await department?.stop();
	assert.match(run(["verify", "--data", department.data]), /holds/);
	department?.remove();
});

const get = (path) => client.get(path);
const page = async (path, body) => department.json(path, { token: client.token, body: body && new URLSearchParams(body).toString(),
	headers: { accept: "text/html", ...(body ? { "content-type": "application/x-www-form-urlencoded" } : {}) } });
const post = (path, body, version, wanted) => client.send(path, body, version, wanted);
const idOf = (tag) => inspecting.idOf(client, tag);
const standing = (tag) => componentOf(client, tag);
const begin = (kind, ...tags) => inspecting.begin(client, kind, ...tags);
const prepare = (id, other) => inspecting.prepare(client, id, other);
const allSound = async (id, tag) => inspecting.answerPart(client, id, await idOf(tag));
/** Signed: the conclusions by tag. */
async function sign(id) {
	await inspecting.sign(client, id);
	return Object.fromEntries((await get(`/inspections/${id}`)).parts.map((part) => [part.tag, part.conclusion]));
}
/** The form of a finding at the first point of a part, as it would be sent. */
async function finding(id, tag, number = 0) {
	const path = `/inspections/${id}/parts/${await idOf(tag)}`, point = (await get(path)).points[number].code;
	const defect = (await get(`${path}/findings?point=${point}`)).defects[0].code;
	const form = await get(`${path}/findings?point=${point}&defect=${defect}`), zone = form.zones[0];
	return { path, version: form.version, fields: { check_point: point, defect, zone: zone.value, place: "inside", severity: "major",
		...(zone.has_faces ? { face: "front" } : {}), ...(zone.has_sides ? { side: "outside" } : {}), outcome: form.outcomes[0].value } };
}

test("a part that is not clean is signed as clean first; what was found before stays, the others go on", async () => {
	const id = await begin("advanced", "PX-GLOVES", "PX-HOOD");
	await prepare(id);
	const found = await finding(id, "PX-GLOVES");
	await post(`${found.path}/findings`, found.fields, found.version);
	await prepare(id, { "PX-GLOVES": { clean: "no" } });
	assert.equal((await get(`/inspections/${id}`)).inspection.is_finished, false);
	const part = await page(found.path);
	assert.match(part.text, /Nothing more is asked of this part/);
	await allSound(id, "PX-HOOD");
	assert.equal((await get(`/inspections/${id}`)).inspection.next, `/inspections/${id}/review`);
	const review = await page(`/inspections/${id}/review`);
	assert.match(review.text, /Clean first/);
	assert.match(review.text, /Nothing more is asked of it/);
	assert.deepEqual(await sign(id), { "PX-GLOVES": "clean_first", "PX-HOOD": "return_to_service" });
	const gloves = await standing("PX-GLOVES");
	assert.deepEqual(gloves.blockers.map((one) => one.code).sort(), ["finding", "not_clean"]);
	assert.equal((await standing("PX-HOOD")).blockers.length, 0);
});

test("what comes next is the next without an answer from here on, then what was passed over", async () => {
	const id = await begin("advanced", "PX-TROUSER-SHELL", "PX-SHROUD");
	await prepare(id);
	const [trousers, shroud] = await Promise.all(["PX-TROUSER-SHELL", "PX-SHROUD"].map(async (tag) => `/inspections/${id}/parts/${await idOf(tag)}`));
	const groups = (await get(trousers)).groups.map((group) => `${trousers}?group=${group.code}`);
	const answered = async (at) => {
		const group = await get(at);
		return (await post(at, Object.fromEntries(group.points.map((point) => [point.code, "sound"])), group.version)).headers.get("location");
	};
	assert.equal(await answered(groups[2]), groups[3]);
	// Back at a finding's own group as long as that has points without an answer.
	const there = await get(groups[1]), [{ code: point }, other] = there.points, { defects: [{ code: defect }] } = await get(`${trousers}/findings?point=${point}`);
	const form = await get(`${trousers}/findings?point=${point}&defect=${defect}`), zone = form.zones[0];
	const written = await post(`${trousers}/findings`, { check_point: point, defect, zone: zone.value, place: "inside", severity: "major",
		...(zone.has_faces ? { face: "front" } : {}), ...(zone.has_sides ? { side: "outside" } : {}), outcome: form.outcomes[0].value }, form.version);
	assert.ok(other);
	assert.equal(written.headers.get("location"), groups[1]);
	assert.equal((await get(groups[1])).inspection.next, groups[1]);
	await answered(`${shroud}?group=${(await get(shroud)).groups.at(-1).code}`);
	await allSound(id, "PX-SHROUD");
	assert.equal((await get(shroud)).inspection.next, groups[0], "around, to what was passed over");
	assert.equal((await get(`/inspections/${id}`)).inspection.next, groups[0], "from nowhere: the first");
});

test("a hold on labels ends with a yes, not with \"does not apply\"", async () => {
	const look = async (model, conclusion, blockers) => {
		const id = await begin("advanced", "PX-COAT-SHELL");
		await prepare(id, { "PX-COAT-SHELL": { model_agrees: model } });
		await allSound(id, "PX-COAT-SHELL");
		assert.equal((await sign(id))["PX-COAT-SHELL"], conclusion, model);
		assert.deepEqual((await standing("PX-COAT-SHELL")).blockers.map((one) => one.code), blockers, model);
	};
	await look("no", "out_of_service", ["labels_disagree"]);
	await look("not_applicable", "out_of_service", ["labels_disagree"]);
	await look("yes", "return_to_service", []);
});

test("a finding stays at its check point", async () => {
	const id = await begin("advanced", "SX-HELMET");
	await prepare(id);
	const one = await finding(id, "SX-HELMET"), other = await finding(id, "SX-HELMET", 1);
	const stored = (await post(`${one.path}/findings`, one.fields, one.version)).doc.finding, path = `/inspections/${id}/findings/${stored}`;
	const version = (await get(path)).version;
	const refused = await post(path, other.fields, version, 422);
	assert.deepEqual(refused.doc.errors.map((error) => error.field), ["check_point"]);
	const form = await page(path, { ...other.fields, _version: version });
	assert.equal(form.status, 422);
	assert.match(form.text, new RegExp(`name="check_point" value="${one.fields.check_point}"`));
	await post(path, { ...one.fields, severity: "minor" }, version);
});

test("a part named twice is refused, and the form comes back with what was chosen", async () => {
	const hood = await idOf("SX-HOOD"), gloves = await idOf("SX-GLOVES");
	const refused = await post("/inspections", { kind: "routine", component: [hood, hood] }, null, 422);
	assert.match(refused.doc.errors[0].message, /named twice/);
	const form = await page("/inspections", [["kind", "routine"], ["component", hood], ["component", gloves], ["component", hood]]);
	assert.equal(form.status, 422);
	assert.match(form.text, /named twice/);
	for (const id of [hood, gloves]) assert.match(form.text, new RegExp(`name="component" value="${id}"`));
	assert.match(form.text, /value="routine" required checked/);
	assert.match((await post("/inspections", { kind: "routine", component: [999999] }, null, 422)).doc.errors[0].message, /no part 999999/);
	await begin("routine", "SX-HOOD", "SX-GLOVES");
});

test("sound ends a finding from before only in a return inspection of what came back mended", async () => {
	const id = await begin("advanced", "PX-FACESHIELD");
	await prepare(id);
	const found = await finding(id, "PX-FACESHIELD");
	await allSound(id, "PX-FACESHIELD");
	await post(`${found.path}/findings`, found.fields, (await get(found.path)).version);
	await sign(id);
	for (const kind of ["advanced", "return"]) {
		const next = await begin(kind, "PX-FACESHIELD");
		await prepare(next);
		const shown = await page(`/inspections/${next}/parts/${await idOf("PX-FACESHIELD")}`);
		assert.match(shown.text, /Open from before/);
		assert.doesNotMatch(shown.text, /Sound now means: mended/);
		assert.match(shown.text, /Ends with|Does not go back/);
		await post(`/inspections/${next}/abandon`, { reason: "Only looked at" }, (await get(`/inspections/${next}`)).inspection.version);
	}
});
