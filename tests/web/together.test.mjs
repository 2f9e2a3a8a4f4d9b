// "All sound in this group": what it answers, what it never does, and how it stands on record; and
// the time worked on a part. (Both are this program's own rules, no source.)
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { run } from "./harness.mjs";
import { FormClient, JsonClient, answerPart, begin, idOf, prepare, sign, staffed } from "./inspecting.mjs";
import { Database } from "./sqlite.mjs";

let department, inspector, officer, form;
before(async () => {
	({ department, inspector, officer } = await staffed());
	form = await new FormClient(department, inspector.token).signIn("2001");
});
after(() => department.finish());

/** A prepared inspection of one part: the path of its form. */
async function opened(kind, tag) {
	const id = await begin(inspector, kind, tag);
	await prepare(inspector, id);
	return { id, path: `/inspections/${id}/parts/${await idOf(inspector, tag)}` };
}
const partOf = async (id) => (await inspector.get(`/inspections/${id}`)).parts[0];
const together = (path, page, more = {}, wanted) =>
	inspector.send(`${path}?group=${page.group}`, { all_sound: true, opening: page.opening, ...more }, page.version, wanted);
const answersOf = (page) => Object.fromEntries(page.points.map((point) => [point.code, point.answer]));
const html = async (path) => (await department.json(path, { token: inspector.token, headers: { accept: "text/html" } })).text;

test("without the page of the group opened by whoever answers, it is refused and nothing is answered", async () => {
	const { id, path } = await opened("advanced", "SX-HELMET");
	const page = await inspector.get(path), other = await inspector.get(`${path}?group=${page.groups[1].code}`);
	const elsewhere = await opened("advanced", "SX-HOOD"), hood = await inspector.get(elsewhere.path);
	const theirs = await officer.get(path), [second, seal] = page.opening.split(".");
	const none = [undefined, "", "12", other.opening, hood.opening, theirs.opening, `${Number(second) - 60}.${seal}`, `${second}.${"0".repeat(seal.length)}`];
	for (const opening of none) {
		const refused = await together(path, { ...page, opening }, {}, 409);
		assert.match(refused.doc.detail, /was not opened by you\. Open it, look at/, `${opening}`);
	}
	assert.equal((await inspector.get(path)).groups[0].answered, 0);
	// A form as a browser without scripts sends it, of a group nobody saw.
	const plain = await form.submit(`${path}?group=${page.group}`, { all_sound: "yes" }, page.version);
	assert.equal(plain.status, 409);
	assert.match(plain.text, /was not opened by you/);
	assert.deepEqual((await partOf(id)).together, []);
});

test("what is answered already stays, what is sent along counts first, and it is on record", async () => {
	const { id, path } = await opened("advanced", "PX-HELMET");
	const first = await inspector.get(path), [found, lacks] = first.points;
	await inspector.post(`${path}?group=${first.group}`, { [found.code]: "finding" }, first.version);
	const page = await inspector.get(`${path}?group=${first.group}`);
	assert.equal(page.left_count, first.points.length - 1);
	const answer = await together(path, page, { [lacks.code]: "finding" });
	assert.match(answer.headers.get("location"), new RegExp(`findings\\?point=${found.code}`));
	const after = await inspector.get(`${path}?group=${first.group}`);
	assert.deepEqual(Object.values(answersOf(after)), first.points.map((_, i) => (i < 2 ? "finding" : "sound")));
	assert.equal(after.can_all_sound, false);

	const [one] = (await partOf(id)).together;
	assert.deepEqual(one.points.map((point) => point.code), first.points.slice(2).map((point) => point.code));
	assert.equal(one.answered_by, "Ines Okafor");
	assert.equal(Math.floor(Date.parse(one.opened_at) / 1000), Number(page.opening.split(".")[0]));
	assert.ok(one.answered_at >= one.opened_at);
	const entry = Database.rows(department.data, "SELECT records FROM audit_entry WHERE action = 'answer group together' ORDER BY seq DESC LIMIT 1")[0];
	assert.deepEqual(JSON.parse(entry.records).map((record) => record.table), ["inspection_part", "answered_together"]);
	for (const shown of [`/inspections/${id}`, `/inspections/${id}/review`])
		assert.match(await html(shown), /Answered together: Labels · Cleanliness .* by Ines Okafor/);
});

test("it stays in the signed record, and a repeated request answers once", async () => {
	const { id, path } = await opened("advanced", "SX-FACESHIELD");
	for (const { code } of (await inspector.get(path)).groups) {
		const page = await inspector.get(`${path}?group=${code}`), key = { "idempotency-key": `together-${code}`, "if-match": `"${page.version}"` };
		for (let i = 0; i < 2; i++) {
			const answer = await department.json(`${path}?group=${code}`, { token: inspector.token, headers: key, body: { all_sound: true, opening: page.opening } });
			assert.equal(answer.status, 200, answer.text);
		}
	}
	await sign(inspector, id);
	const part = await partOf(id);
	assert.equal(part.conclusion, "return_to_service");
	assert.equal(part.together.length, (await inspector.get(path)).groups.length);
	assert.match(await html(`/inspections/${id}`), /Answered together: /);
});

test("a point with a finding from before is left to be answered by itself", async () => {
	const found = await opened("advanced", "SX-GLOVES"), point = (await inspector.get(found.path)).points[0].code;
	const { defects } = await inspector.get(`${found.path}/findings?point=${point}`);
	const choice = await inspector.get(`${found.path}/findings?point=${point}&defect=${defects[0].code}`);
	await answerPart(inspector, found.id, await idOf(inspector, "SX-GLOVES"),
		{ check_point: point, defect: defects[0].code, zone: choice.zones[0].value, outcome: choice.outcomes[0].value, place: "inside" });
	await sign(inspector, found.id);

	const { id, path } = await opened("advanced", "SX-GLOVES"), page = await inspector.get(path);
	assert.equal(page.open_count, 1);
	assert.match(await html(path), /1 to be answered one by one: open from before/);
	const next = (await together(path, page)).headers.get("location");
	assert.equal(next, `${path}?group=${page.group}`);
	// Nor is it answered by who says which points are.
	const still = await inspector.get(next);
	await inspector.send(next, { [point]: "sound", together: point, together_opening: still.opening }, still.version);
	const left = await inspector.get(next);
	assert.deepEqual(Object.entries(answersOf(left)).filter(([, answer]) => !answer).map(([code]) => code), [point]);
	assert.equal(left.can_all_sound, false);
	// Nothing is left for it: it goes on, and nothing more is on record.
	await together(path, left);
	assert.equal((await partOf(id)).together.length, 1);
});

test("a tablet says which points were answered together while the network was away, and when", async () => {
	const { id, path } = await opened("advanced", "PX-FOOTWEAR"), page = await inspector.get(path), [found, ...others] = page.points.map((point) => point.code);
	const away = { away_opened_at: "2026-01-31T23:59:58Z", away_answered_at: "2026-02-01T00:00:20Z" };
	const body = { [found]: "finding", ...Object.fromEntries(others.map((code) => [code, "sound"])), together: [found, ...others].join(" "), together_opening: page.opening, ...away };
	const at = `${path}?group=${page.group}`, send = (more, wanted) => inspector.send(at, { ...body, ...more }, page.version, wanted);
	// Nothing of it is taken where the page was not opened, or where an instant is none.
	assert.match((await send({ together_opening: undefined }, 409)).doc.detail, /was not opened by you/);
	assert.equal((await send({ away_answered_at: "yesterday" }, 422)).doc.errors[0].field, "away_answered_at");
	assert.deepEqual((await inspector.get(at)).version, page.version);

	assert.equal((await send()).status, 200);
	assert.deepEqual(answersOf(await inspector.get(at)), Object.fromEntries(page.points.map(({ code }) => [code, code === found ? "finding" : "sound"])));
	const { together: [one], worked_s } = await partOf(id);
	assert.deepEqual(one.points.map((point) => point.code), others, "a finding is none of them");
	assert.deepEqual([one.away_opened_at, one.away_answered_at], [away.away_opened_at, away.away_answered_at]);
	assert.equal(worked_s, null, "no time is counted from a page that was kept");
	assert.match(await html(`/inspections/${id}`), /while the network was away: opened 2026-01-31 23:59, answered 2026-02-01 00:00 by the tablet's clock, received/);

	// What has an answer already is answered anew one by one, and that is told apart.
	const again = await inspector.get(at);
	await inspector.send(at, { [found]: "sound", together: found, together_opening: again.opening }, again.version);
	assert.equal((await partOf(id)).together.length, 1);
	assert.equal(answersOf(await inspector.get(at))[found], "sound");
});

test("time is counted from opening to saving, never twice", async () => {
	const id = await begin(inspector, "routine", "PX-HOOD", "PX-GLOVES");
	const parts = (await inspector.get(`/inspections/${id}`)).parts, paths = parts.map((part) => `/inspections/${id}/parts/${part.component}`);
	assert.deepEqual(parts.map((part) => part.worked_s), [null, null]);
	const pages = [await inspector.get(paths[0]), await inspector.get(paths[1])];
	const since = Number(pages[0].opening.split(".")[0]);
	// A page that says nothing of when it was opened adds nothing.
	await inspector.post(paths[0], { [pages[0].points[0].code]: "sound" }, pages[0].version);
	assert.equal((await partOf(id)).worked_s, null);
	// Two seconds by the server's clock: it ticks in milliseconds of its own, behind this process's.
	let now;
	do now = await inspector.get(paths[0]); while (Number(now.opening.split(".")[0]) < since + 2);
	await together(paths[0], { ...pages[0], version: now.version });
	await together(paths[1], pages[1]);
	const worked = (await inspector.get(`/inspections/${id}`)).parts.map((part) => part.worked_s);
	assert.ok(worked[0] >= 2, `${worked}`);
	assert.ok(worked[0] + worked[1] <= Date.now() / 1000 - since, `${worked}`);
	assert.match(await html(`/inspections/${id}`), /Time worked: \d+ s<\/summary>[\s\S]*ten minutes at most/);
	const state = Database.rows(department.data, `SELECT json_extract(r.value, '$.state.worked_s') AS worked_s FROM audit_entry a, json_each(a.records) r
		WHERE json_extract(r.value, '$.table') = 'inspection_part' AND json_extract(r.value, '$.state.inspection_id') = ${id} ORDER BY a.seq DESC LIMIT 1`);
	assert.equal(state[0].worked_s, worked[1]);
	const csv = await department.json("/inspections.csv", { token: inspector.token, headers: { accept: "text/csv" } });
	assert.match(csv.text.split(/\r?\n/)[0], /,minutes_worked/);
});

test("tables take both along: into an empty department, and out of it again, byte by byte", async () => {
	const { id, path } = await opened("advanced", "SX-TROUSER-SHELL");
	for (const { code } of (await inspector.get(path)).groups) await together(path, await inspector.get(`${path}?group=${code}`));
	await sign(inspector, id);
	const tables = ["inspections", "answered_together"], out = (from, kind) => run(["export", "--data", from.data, "--kind", kind]);
	const [part] = (await inspector.get(`/inspections/${id}`)).parts, copy = department.copy();
	assert.ok(part.together.length > 1 && part.worked_s !== null);
	for (const kind of tables) assert.equal(out(copy, kind), out(department, kind), kind);
	assert.equal(out(copy, "answered_together").split("\r\n").filter((line) => line.includes("SX-TROUSER-SHELL")).length, part.together.length);

	copy.account("2001", "inspector");
	const client = new JsonClient(copy, copy.token("2001"));
	await copy.start();
	const [{ id: there }] = Database.rows(copy.data, `SELECT id FROM inspection WHERE reference LIKE 'PW-%-${id}'`);
	const [same] = (await client.get(`/inspections/${there}`)).parts;
	assert.equal(same.worked_s, part.worked_s);
	assert.deepEqual(same.together, part.together, "with the titles of the check points, which are in no table");
	assert.ok(part.together.every(({ points }) => points.every((point) => point.title && point.title !== point.code)));
	const page = await copy.json(`/inspections/${there}`, { token: client.token, headers: { accept: "text/html" } });
	assert.match(page.text, /Time worked: /);
	assert.match(page.text, /Answered together: .* by Ines Okafor/);
	await copy.finish();
});

test("what was made here and was not answered so cannot be brought in", async () => {
	await department.stop();
	const table = run(["export", "--data", department.data, "--kind", "answered_together"]), [header, line] = table.split("\r\n");
	const wrong = department.import("answered_together", `${header}\n${line.replace(/T\d\d:\d\d:\d\dZ(,\d+,,)$/, "T23:59:59Z$1")}\n`);
	assert.equal(wrong.code, 1);
	assert.match(wrong.err, /column reference: Inspection PW-\S+ was made here, and these were not answered together in it/);
	assert.match(department.import("answered_together", table).out, / 0 stored/);
	await department.start();
});
