// No sequence of requests brings a part back around what stands in its way. Requests drawn by a
// seed, well-formed and not, over every act there is; after each, the facts are read by SQL that
// shares nothing with src/rules and compared with what the server says may be used.
// NO_WAY_AROUND_SEED draws others, NO_WAY_AROUND_CALLS more of them.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Department, run } from "./harness.mjs";
import { JsonClient, earlier } from "./inspecting.mjs";
import { Database } from "./sqlite.mjs";

const SECONDS_MAX = 55;
const CALLS = Number(process.env.NO_WAY_AROUND_CALLS ?? 1500);
const SEED = Number(process.env.NO_WAY_AROUND_SEED ?? 1851);

let state = SEED >>> 0;
function below(n) {
	state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
	return Math.floor((state / 2 ** 32) * n);
}
const one = (list) => list[below(list.length)];
const chance = (percent) => below(100) < percent;

// Why each component may not be used, by the facts alone.
const IN_THE_WAY = `
	WITH serves AS (SELECT e.id AS exposure, min(c.cleaned_on) AS cleaned_on FROM exposure e JOIN cleaning c ON c.component_id = e.component_id
		WHERE c.id = e.ended_by_cleaning OR (c.cleaned_on > e.exposed_on AND c.class IN ('specialized', CASE e.cause WHEN 'combustion' THEN 'advanced' ELSE 'specialized' END)) GROUP BY e.id),
	signed AS (SELECT p.*, p.kind <> 'routine' AND EXISTS (SELECT 1 FROM exposure e LEFT JOIN serves s ON s.exposure = e.id WHERE e.component_id = p.component_id
		AND e.revoked_on IS NULL AND e.exposed_on < p.inspected_on AND (s.cleaned_on IS NULL OR s.cleaned_on > p.inspected_on)) AS tainted FROM inspection_part p WHERE p.signed = 1),
	look AS (SELECT id, component_id, inspection_id, kind, inspected_on, model_agrees, size_agrees, CASE WHEN tainted OR conclusion = 'clean_first' THEN 'no' ELSE clean END AS clean,
		CASE WHEN tainted THEN 'clean_first' ELSE conclusion END AS conclusion FROM signed WHERE conclusion <> 'not_finished'),
	answered AS (
		SELECT component_id, 'not_clean' AS why, inspected_on, id, clean AS answer FROM look WHERE clean IS NOT NULL
		UNION ALL SELECT component_id, 'labels_disagree', inspected_on, id, model_agrees FROM look WHERE model_agrees IN ('yes', 'no')
		UNION ALL SELECT component_id, 'labels_disagree ', inspected_on, id, size_agrees FROM look WHERE size_agrees IN ('yes', 'no')),
	back AS (
		SELECT coalesce(i.replacement_id, i.component_id) AS component_id, d.returned_on
		FROM dispatch_item i JOIN dispatch d ON d.id = i.dispatch_id WHERE d.state = 'returned'
		UNION ALL SELECT i.component_id, d.returned_on
		FROM dispatch_item i JOIN dispatch d ON d.id = i.dispatch_id WHERE d.state = 'returned'),
	found AS (
		SELECT i.component_id, d.returned_on, n.id FROM dispatch_item i JOIN dispatch d ON d.id = i.dispatch_id AND d.state = 'returned'
		JOIN finding f ON f.id = i.finding_id JOIN inspection n ON n.id = f.inspection_id AND n.inspected_on = d.returned_on)
	SELECT component_id, 'finding' AS why FROM finding WHERE state = 'open' AND outcome <> 'serve_on'
	UNION SELECT component_id, 'special_incident_hold' FROM hold WHERE released_on IS NULL
	UNION SELECT id, 'withdrawn' FROM component WHERE withdrawn_reason IS NOT NULL
	UNION SELECT id, 'retired' FROM component WHERE retired_on IS NOT NULL
	UNION SELECT id, 'unknown_made' FROM component WHERE made IS NULL AND retired_on IS NULL
	UNION SELECT id, 'unknown_label' FROM component WHERE maker IS NULL AND model IS NULL AND serial IS NULL AND retired_on IS NULL
	UNION SELECT i.component_id, 'at_provider' FROM dispatch_item i JOIN dispatch d ON d.id = i.dispatch_id WHERE d.state = 'sent'
	UNION SELECT component_id, 'return_inspection' FROM back b WHERE NOT EXISTS (SELECT 1 FROM look l
		WHERE l.component_id = b.component_id AND l.kind = 'return' AND l.inspected_on >= b.returned_on
		AND NOT EXISTS (SELECT 1 FROM found s WHERE s.component_id = l.component_id AND s.returned_on = l.inspected_on AND s.id >= l.inspection_id)
		AND l.conclusion NOT IN ('clean_first', 'not_finished'))
	UNION SELECT i.component_id, 'came_back_soiled' FROM issue i JOIN component c ON c.id = i.component_id AND c.retired_on IS NULL
		WHERE i.condition_at_return IN ('soiled', 'contaminated')
		AND NOT EXISTS (SELECT 1 FROM issue j WHERE j.component_id = i.component_id AND (j.returned_on IS NULL OR (j.returned_on, j.issued_on, j.id) > (i.returned_on, i.issued_on, i.id)))
		AND NOT EXISTS (SELECT 1 FROM cleaning l WHERE l.component_id = i.component_id AND l.cleaned_on >= i.returned_on)
	UNION SELECT component_id, 'thorough_inspection' FROM follow_up WHERE done_by_inspection IS NULL
	UNION SELECT component_id, trim(why) FROM answered a WHERE answer = 'no' AND NOT EXISTS (SELECT 1 FROM answered b
		WHERE b.component_id = a.component_id AND b.why = a.why AND (b.inspected_on, b.id) > (a.inspected_on, a.id))
	UNION SELECT component_id, 'contaminated' FROM exposure e WHERE revoked_on IS NULL AND ended_by_cleaning IS NULL
		AND NOT EXISTS (SELECT 1 FROM cleaning c WHERE c.component_id = e.component_id AND c.cleaned_on > e.exposed_on
			AND c.class IN ('specialized', CASE e.cause WHEN 'combustion' THEN 'advanced' ELSE 'specialized' END))`;

// The parts that may be used are those with nothing in the way, and whoever counts as ready has
// one of each kind among them.
const NEEDED = "('coat_shell', 'coat_liner', 'trouser_shell', 'trouser_liner', 'helmet', 'hood', 'gloves', 'footwear')";
const LOOK = `
	CREATE TEMP TABLE way AS ${IN_THE_WAY};
	SELECT 'why' AS what, why AS text, count(*) AS n FROM way GROUP BY why
	UNION ALL SELECT 'usable', NULL, count(*) FROM standing WHERE state IN ('in_service', 'in_stores')
	UNION ALL SELECT 'ready', NULL, count(*) FROM member_readiness WHERE ready_until <> ''
	UNION ALL SELECT 'around', c.tag || ': ' || s.state || ' with ' || w.why, 1
		FROM way w JOIN standing s USING (component_id) JOIN component c ON c.id = component_id
		WHERE s.state IN ('in_service', 'in_stores') OR s.ready_until <> ''
	UNION ALL SELECT 'around', c.tag || ': ' || s.state || ' with blockers ' || s.blockers, 1
		FROM standing s JOIN component c ON c.id = s.component_id
		WHERE (s.state IN ('in_service', 'in_stores')) <> (s.blockers = '[]')
	UNION ALL SELECT 'unfounded', c.tag || ': ' || s.state || ' because of ' || s.blockers, 1
		FROM standing s JOIN component c ON c.id = s.component_id
		WHERE s.state NOT IN ('in_service', 'in_stores') AND c.id NOT IN (SELECT component_id FROM way)
	UNION ALL SELECT 'training_only', NULL, count(*) FROM standing WHERE state = 'training_only'
	UNION ALL SELECT 'around', c.tag || ': retired, but ' || s.state, 1
		FROM standing s JOIN component c ON c.id = s.component_id
		WHERE (c.retired_on IS NOT NULL) <> (s.state IN ('retired', 'training_only'))
	UNION ALL SELECT 'around', c.tag || ': retired and issued', 1
		FROM component c JOIN issue i ON i.component_id = c.id AND i.returned_on IS NULL WHERE c.retired_on IS NOT NULL
	UNION ALL SELECT 'around', c.tag || ': retired and inspected since', 1
		FROM component c JOIN inspection_part l ON l.component_id = c.id AND l.signed = 1 WHERE l.inspected_on > c.retired_on
	UNION ALL SELECT 'around', c.tag || ': for training with ' || w.why, 1
		FROM way w JOIN standing s USING (component_id) JOIN component c ON c.id = component_id
		WHERE s.state = 'training_only' AND (w.why NOT IN ('retired', 'labels_disagree', 'not_clean')
			OR c.training_on IS NULL OR c.disposed_on IS NOT NULL OR c.retired_ground = 'lost')
	UNION ALL SELECT 'around', m.badge || ' is ready (' || r.hazard || ') without a usable ' || k.code, 1
		FROM member_readiness r JOIN member m ON m.id = r.member_id JOIN component_kind k ON k.code IN ${NEEDED}
		WHERE r.ready_until <> '' AND NOT EXISTS (SELECT 1 FROM component c
			LEFT JOIN ensemble e ON e.id = c.ensemble_id LEFT JOIN issue i ON i.component_id = c.id AND i.returned_on IS NULL
			WHERE c.kind = k.code AND c.hazard = r.hazard AND c.id NOT IN (SELECT component_id FROM way)
			AND (i.member_id = m.id OR (i.id IS NULL AND e.member_id = m.id)))`;

let department, inspector, officer, calls = 0, accepted = 0, until;
const seen = new Map(), history = [];

function look(what) {
	const rows = Database.rows(department.data, LOOK.replaceAll("\n", " "));
	for (const row of rows) if (row.what === "why" || (row.n && row.what !== "around")) seen.set(row.text ?? row.what, (seen.get(row.text ?? row.what) ?? 0) + row.n);
	const around = rows.filter((row) => row.what === "around" || row.what === "unfounded").map((row) => row.text);
	assert.deepEqual(around, [], `seed ${SEED}, call ${calls}: ${what}; before it:\n${history.slice(-30).join("\n")}`);
}

/** A client whose every change is followed by a look; what is refused must be refused politely. */
class Watched extends JsonClient {
	async send(path, body, version) {
		if (calls >= CALLS || Date.now() > until) throw new Ended();
		const answer = await super.send(path, body, version, [200, 201, 403, 409, 412, 422]);
		calls++;
		accepted += answer.status < 300;
		history.push(`${answer.status} ${path} ${JSON.stringify(body)}`);
		look(history.at(-1));
		if (answer.status >= 300) throw new Refused();
		return answer;
	}
}
class Ended extends Error {}
class Refused extends Error {}

before(async () => {
	department = new Department().fill();
	inspector = new Watched(department, department.token("2001"));
	officer = new Watched(department, department.token("2003"));
	await department.start();
});
after(async () => {
	await department?.stop(); // where the test ended before it did
	department?.remove();
});

const anyPart = () => one(Database.rows(department.data, "SELECT id, tag FROM component WHERE hazard = 'proximity' AND retired_on IS NULL ORDER BY id"));
const anyRow = async (path) => one((await inspector.get(path)).rows);
const versionOf = async (path) => (await officer.get(path)).version;
async function act(name, body, who = officer, part = anyPart()) {
	const path = `/components/${part.id}`;
	await who.post(`${path}/${name}`, body, await versionOf(path));
}

async function answerGroup(id, part, group, wanted) {
	const path = `/inspections/${id}/parts/${part}`, page = await inspector.get(`${path}?group=${group}`);
	const answers = Object.fromEntries(page.points.map(({ code }) => [code, wanted === code ? "finding" : "sound"]));
	await inspector.post(`${path}?group=${group}`, answers, page.version);
}
async function describe(id, part, point) {
	const path = `/inspections/${id}/parts/${part}/findings?point=${point}`;
	const { defects } = await inspector.get(path), burnt = defects.find(({ code }) => code === "burnt");
	const defect = (burnt ?? one(defects)).code, page = await inspector.get(`${path}&defect=${defect}`);
	// What retires is drawn less often, so that something is left.
	const outcomes = page.outcomes.filter(({ value }) => chance(10) || !/^(retire|replace)$/.test(value)), zone = one(page.zones);
	await inspector.post(path.replace(/\?.*/, "") + `?point=${point}&defect=${defect}`, { severity: "major", outcome: one(outcomes.length ? outcomes : page.outcomes).value,
		check_point: point, defect, ...(zone ? { zone: zone.value } : {}), place: "12 cm above the edge",
		...(zone?.has_faces ? { face: "front" } : {}), ...(zone?.has_sides ? { side: "outside" } : {}) }, page.version);
}
async function anyPoint(id, part, groups) {
	const { points } = await inspector.get(`/inspections/${id}/parts/${part}?group=${groups.includes("fabric") && chance(60) ? "fabric" : one(groups)}`);
	return one(points).code;
}
/** The points of a part; sometimes one with a finding, sometimes not all. */
async function lookOver(id, part, burns) {
	const page = await inspector.get(`/inspections/${id}/parts/${part}`), groups = page.groups.map(({ code }) => code);
	const wanted = burns ?? (chance(40) ? await anyPoint(id, part, groups) : null);
	for (const group of groups) await answerGroup(id, part, group, wanted);
	if (wanted) await describe(id, part, wanted);
}
async function signNow(id) {
	const review = await inspector.get(`/inspections/${id}/review`);
	await inspector.post(`/inspections/${id}/signature`, { confirmed: true }, review.inspection.version);
}
async function inspectSomething(parts = [anyPart(), ...(chance(15) ? [anyPart()] : [])], burns) {
	const kind = burns ? "advanced" : one(["routine", "advanced", "liner", "return", "return", "advanced"]);
	const id = Number((await inspector.post("/inspections", { kind, component: [...new Set(parts.map((part) => part.id))] })).split("/")[2]);
	const page = await inspector.get(`/inspections/${id}/preparation`);
	const answers = Object.fromEntries(page.preparation.flatMap(({ questions }) => questions.map(({ name }) => [name, chance(7) ? "no" : "yes"])));
	await inspector.post(`/inspections/${id}/preparation`, answers, page.inspection.version);
	for (const part of page.parts) if (!chance(3)) await lookOver(id, part.component, burns);
	if (!chance(10)) await signNow(id);
}
/** A burnt shell makes what lies beneath it due. */
async function burnShell() {
	const shells = Database.rows(department.data, "SELECT id, tag FROM component WHERE kind = 'coat_shell' AND hazard = 'proximity' AND retired_on IS NULL ORDER BY id");
	if (shells.length) await inspectSomething([shells[0]], "aluminized");
}
/** What was begun before something else happened is signed after it, or given up. */
async function goOn() {
	const drafts = Database.rows(department.data, "SELECT id, version FROM inspection WHERE state = 'draft'");
	if (!drafts.length) return;
	const { id, version } = one(drafts);
	await (chance(30) ? inspector.post(`/inspections/${id}/abandon`, { reason: "called away" }, version) : signNow(id));
}
async function writeTicket() {
	const candidates = (await inspector.get("/dispatches/new")).candidates.filter(() => chance(70));
	await inspector.post("/dispatches", { provider: 1, finding: candidates.map(({ finding }) => finding) });
}
async function moveTicket() {
	const ticket = one(Database.rows(department.data, "SELECT id, state, version FROM dispatch WHERE state IN ('draft', 'sent')"));
	if (!ticket) return writeTicket();
	const at = `/dispatches/${ticket.id}`;
	if (ticket.state === "draft") return inspector.post(`${at}/${chance(85) ? "send" : "cancel"}`, {}, ticket.version);
	const page = await inspector.get(`${at}/return`), body = {};
	for (const { id } of page.items) {
		body[`result.${id}`] = one(["repaired", "repaired", "no_fault_found", "not_repaired", ...(chance(20) ? ["replaced"] : [])]);
		if (body[`result.${id}`] === "replaced") Object.assign(body, { [`new_tag.${id}`]: `NEW-${calls}-${id}`, [`new_serial.${id}`]: `SN-${calls}-${id}`, [`new_made.${id}`]: "2026-03" });
	}
	await inspector.post(`${at}/return`, body, page.version);
}
async function setRules() {
	const sets = (await officer.get("/rules")).form.find(({ name }) => name === "rule_set").options;
	await officer.post("/rules", { rule_set: one(sets).value, adjustments: "drop", reason: "The department follows another edition." }, await versionOf("/rules"));
}
async function letGo() {
	const held = await anyRow("/holds?state=open");
	if (held) await officer.post(`/holds/${held.id}/release`, { authority: "State fire marshal", reason: "Investigation closed." }, await versionOf(`/holds/${held.id}`));
}
async function letBack() {
	await act("release", { reason: "looked at" }, officer, one(Database.rows(department.data, "SELECT id FROM component WHERE withdrawn_reason IS NOT NULL ORDER BY id")) ?? anyPart());
}
async function takeBackExposure() {
	const open = await anyRow("/exposures?state=open");
	if (open) await officer.post(`/exposures/${open.id}/revoke`, { reason: "It was not in there." }, await versionOf(`/exposures/${open.id}`));
}
async function answerQuestion() {
	const open = one(Database.rows(department.data, "SELECT id FROM finding WHERE state = 'open' ORDER BY outcome NOT IN ('ask_maker', 'hold'), id LIMIT 3"));
	if (open) await officer.post(`/findings/${open.id}/answer`, { answer: "The maker says it may serve." }, await versionOf(`/findings/${open.id}`));
}
async function newPart() {
	const old = one(Database.rows(department.data, "SELECT kind, reflective, ensemble_id FROM component WHERE hazard = 'proximity' AND retired_on IS NOT NULL"));
	if (old) await officer.post("/components", { tag: `ADD-${calls}`, kind: old.kind, hazard: "proximity", station: 2, ensemble: old.ensemble_id, made: "2025-05", in_service_on: "2026-01-10",
		maker: "Harrow and Pell", model: one(["M1", "T1"]), size: "M", serial: `SN-ADD-${calls}`, reflective: Boolean(old.reflective) });
}
async function changePart() {
	const path = `/components/${anyPart().id}`, blank = chance(30);
	await officer.post(path, { made: blank ? "" : "2024-02", note: `written ${calls}` }, await versionOf(path));
}

/** A part in which nothing is wrong is retired by its age and marked. */
async function keepForTraining() {
	const part = one(Database.rows(department.data, "SELECT c.id, i.id AS issue FROM component c JOIN standing s ON s.component_id = c.id AND s.blockers = '[]' LEFT JOIN issue i ON i.component_id = c.id AND i.returned_on IS NULL WHERE c.kind IN ('drd', 'faceshield') ORDER BY c.id"));
	if (!part) return;
	if (part.issue) await act("return", { condition: "good" }, officer, part);
	await act("retire", { ground: "age" }, officer, part);
	await act("training", { use: "non_live", marked: true }, officer, part);
}
/** What is retired serves for training, is soiled, cleaned and disposed of, and asked back in vain. */
async function afterTheEnd() {
	const part = one(Database.rows(department.data, "SELECT id FROM component WHERE retired_on IS NOT NULL AND retired_ground <> 'replaced' ORDER BY id"));
	if (!part) return keepForTraining();
	const [name, body] = one([["training", { use: "non_live", marked: true }], ["training", { use: "non_live", marked: true }],
		["cleanings", { class: "specialized", reason: "for training", performed_by: "Clearwater Wash", done_after: true }],
		["issue", { member: 2, condition: "good" }], ["dispose", { way: "destroyed", witness: "2001" }]]);
	await act(name, body, officer, part);
	if (name === "training") await inspector.post("/exposures", { component: [part.id], cause: one(["combustion", "fuels"]) });
}

const ways = [
	[5, () => act("issue", { member: one([2, 3, 4]), condition: "good", ...(chance(30) ? { on: earlier(below(9)) } : {}) })],
	[4, () => act("return", { condition: one(["good", "soiled", "contaminated", "damaged"]) })],
	[14, () => act("cleanings", { class: one(["routine", "advanced", "advanced", "specialized"]), reason: "soiled", performed_by: "Clearwater Wash",
		on: earlier(below(5)), after_exposure: chance(40) }, inspector)],
	[24, inspectSomething],
	[2, burnShell],
	[8, goOn],
	[6, writeTicket],
	[16, moveTicket],
	[3, () => act("withdraw", { reason: "odd smell" })],
	[5, letBack],
	[1, () => act("retire", { ground: one(["age", "age", "lost"]) })],
	[3, afterTheEnd],
	[3, newPart],
	[3, changePart],
	[2, () => inspector.post("/holds", { component: [anyPart().id], incident: "2026-0117, hangar 2", kept_where: "Evidence locker", container: "paper" })],
	[6, letGo],
	[3, () => inspector.post("/exposures", { component: [anyPart().id], cause: one(["combustion", "fuels", "chemicals"]), exposed_on: earlier(1 + below(4)) })],
	[3, takeBackExposure],
	[8, answerQuestion],
	[2, setRules],
];
const lots = ways.flatMap(([weight, way]) => Array(weight).fill(way));

test("whatever is asked for in whatever order, what stands in the way stays in the way", async (context) => {
	until = Date.now() + SECONDS_MAX * 1000;
	look("nothing yet");
	try {
		for (;;) {
			try {
				await one(lots)();
			} catch (error) {
				if (!(error instanceof Refused)) throw error;
			}
		}
	} catch (error) {
		if (!(error instanceof Ended)) throw error;
	}
	assert.ok(calls > 300 && accepted > calls / 2, `${calls} calls, ${accepted} accepted`);
	context.diagnostic(`${calls} calls, ${accepted} accepted; seen ${JSON.stringify(Object.fromEntries(seen))}`);
	const never = ["finding", "special_incident_hold", "withdrawn", "retired", "at_provider", "return_inspection", "thorough_inspection", "not_clean", "labels_disagree",
		"contaminated", "unknown_made", "usable", "ready", "training_only"].filter((why) => !seen.has(why));
	assert.deepEqual(never, [], "each thing that can stand in the way did, and something was usable");
	await department.stop();
	assert.match(run(["verify", "--data", department.data]), /holds/);
	assert.match(run(["rebuild", "--check", "--data", department.data]), /^0 /);
});
