// Gear held after a special incident stays as it was found, whatever anybody tries: every route
// that changes something is tried, so that a new one has to be placed here too.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Department, run } from "./harness.mjs";
import * as inspecting from "./inspecting.mjs";
import { plainPng } from "./pictures.mjs";
import { JsonClient, componentOf, idOf } from "./inspecting.mjs";
import { Database } from "./sqlite.mjs";

let department, client, officer;
before(async () => {
	department = new Department().fill();
	client = new JsonClient(department, department.token("2001"));
	officer = new JsonClient(department, department.token("2003"));
	await department.start();
});
after(() => department?.finish());

const entries = () => Database.count(department.data, "audit_entry");
const version = async (path) => (await officer.get(path)).version;
const hold = async (...tags) => client.post("/holds", { component: await Promise.all(tags.map((tag) => idOf(client, tag))),
	incident: "2026-0117, hangar 2", kept_where: "Evidence locker, key with the chief", container: "paper" });
const finding = (check_point, defect, outcome, zone, place) => ({ check_point, defect, outcome, zone, ...(place ? { place } : {}) });

/** A ticket for the open findings of a part. */
async function ticket(tag, send) {
	const open = (await client.get("/dispatches/new")).candidates.filter((one) => one.tag === tag);
	const at = await client.post("/dispatches", { provider: 1, finding: open.map((one) => one.finding) });
	if (send) await client.post(`${at}/send`, {}, await version(at));
	return at;
}

test("every way to alter, hand out or move on what is held is refused", async () => {
	// What each way needs is made ready first, on parts that are held afterwards.
	const seam = finding("seams", "seam_open", "repair", "seat", "centre seam");
	await inspecting.inspect(client, "advanced", ["PX-TROUSER-SHELL"], { "PX-TROUSER-SHELL": seam });
	const drafted = await ticket("PX-TROUSER-SHELL", false);
	await inspecting.inspect(client, "advanced", ["PX-COAT-SHELL"], { "PX-COAT-SHELL": finding("aluminized", "burnt", "repair", "chest") });
	const sent = await ticket("PX-COAT-SHELL", true);
	await inspecting.inspect(client, "advanced", ["PX-SHROUD"], { "PX-SHROUD": finding("label", "missing", "ask_maker", "neck") });
	const question = (await client.get("/findings?state=open")).rows.find((row) => row.tag === "PX-SHROUD").id;
	const draft = await inspecting.begin(client, "advanced", "PX-COAT-LINER");
	await inspecting.answer(client, draft, { "PX-COAT-LINER": finding("wristlets", "runs", "renew", "left_wristlet") });
	const looking = `/inspections/${draft}`, view = await client.get(`${looking}/review`), liner = view.parts[0].component;
	const change = async (tag, act, body) => officer.post(`/components/${await idOf(client, tag)}/${act}`, body, (await componentOf(client, tag)).version);
	await change("PX-HOOD", "withdraw", { reason: "kept aside" });
	await change("PX-OVERCOVER", "return", { condition: "good" });
	await change("PX-FACESHIELD", "return", { condition: "damaged" });
	await change("PX-FACESHIELD", "retire", { ground: "age" });
	const tags = ["PX-TROUSER-SHELL", "PX-COAT-SHELL", "PX-SHROUD", "PX-COAT-LINER", "PX-HOOD", "PX-OVERCOVER", "PX-FACESHIELD", "PX-GLOVES"];
	const photo = await client.give(`${looking}/parts/${liner}/photos`, plainPng());
	const tested = await client.post("/field-tests", { component: await idOf(client, "PX-GLOVES"), test: "seam", sign: false });
	const worn = { member: (await componentOf(client, "PX-GLOVES")).holder, hazard: "proximity", component: [await idOf(client, "PX-GLOVES")], glove_sleeve: "closed",
		...Object.fromEntries(["coat_trousers", "hood_collar", "hood_facepiece", "trousers_boots", "helmet_hood", "shroud_coat", "overcover_faceshield"].map((one) => [one, "not_worn"])) };
	const checked = await client.post("/fit-checks", worn);
	await client.post("/exposures", { component: [await idOf(client, "PX-SHROUD")], cause: "fuels" });
	const exposed = `/exposures/${(await client.get("/exposures?state=open")).rows[0].id}`;
	// Notices: one that hits the overcover with an answer, one left, and the ways to answer.
	const wrong = { issuer: "Harrow and Pell", issued_on: "2026-01-05", title: "Seams", wrong: "They open.", maker: "Harrow and Pell", kind: "overcover" };
	const recalled = await officer.post("/safety-notices", { ...wrong, action: "replace" });
	await officer.post(`${recalled}/answers`, { component: [await idOf(client, "PX-OVERCOVER")], answer: "done" }, 1);
	const answered = (await client.get(recalled)).answers[0].id;
	const asked = await officer.post("/safety-notices", { ...wrong, action: "replace" });
	await hold(...tags);
	const id = Object.fromEntries(await Promise.all(tags.map(async (tag) => [tag, await idOf(client, tag)])));
	const at = async (tag, act, body) => [`/components/${id[tag]}${act}`, body, (await componentOf(client, tag)).version];
	const page = async (path, body, of = path) => [path, body, await version(of)];
	const ensemble = (await componentOf(client, "PX-HOOD")).ensemble_id, inspected = view.inspection.version;
	const group = (await client.get(`${looking}/parts/${liner}`)).groups[0].code;
	const part = await client.get(`${looking}/parts/${liner}?group=${group}`);
	const written = view.findings[0];
	const returned = await client.get(`${sent}/return`);
	const back = Object.fromEntries(returned.items.map((item) => [`result.${item.id}`, "repaired"]));

	const ways = {
		"/ensembles/:id": await page(`/ensembles/${ensemble}`, { code: "PX-9" }),
		"/components/:id": await at("PX-GLOVES", "", { note: "cleaned a little" }),
		"/components/:id/issue": await at("PX-OVERCOVER", "/issue", { member: 1, condition: "good" }),
		"/components/:id/return": await at("PX-GLOVES", "/return", { condition: "good" }),
		"/components/:id/cleanings": await at("PX-GLOVES", "/cleanings", { class: "advanced", reason: "bloody", performed_by: "I" }),
		"/components/:id/withdraw": await at("PX-GLOVES", "/withdraw", { reason: "odd" }),
		"/components/:id/release": await at("PX-HOOD", "/release", { reason: "looked at" }),
		"/components/:id/retire": await at("PX-OVERCOVER", "/retire", { ground: "beyond_repair" }),
		"/components/:id/dispose": await at("PX-FACESHIELD", "/dispose", { way: "destroyed", witness: "Ines Okafor" }),
		"/components/:id/training": await at("PX-FACESHIELD", "/training", { use: "non_live", marked: true }),
		"/inspections": ["/inspections", { kind: "advanced", component: [id["PX-GLOVES"]] }],
		"/inspections/:id/take-over": [`${looking}/take-over`, {}, inspected],
		"/inspections/:id/preparation": [`${looking}/preparation`, { [`clean.${liner}`]: "no" }, inspected],
		"/inspections/:id/parts/:id": [`${looking}/parts/${liner}?group=${group}`, Object.fromEntries(part.points.map((point) => [point.code, "sound"])), part.version],
		"/inspections/:id/parts/:id/findings": [`${looking}/parts/${liner}/findings?point=wristlets&defect=runs`,
			{ severity: "minor", ...finding("wristlets", "runs", "renew", "right_wristlet") }, part.version],
		"/inspections/:id/findings/:id": [`${looking}/findings/${written.id}`, { severity: "minor", ...finding("wristlets", "runs", "renew", "right_wristlet") }, written.version],
		"/inspections/:id/findings/:id/withdraw": [`${looking}/findings/${written.id}/withdraw`, {}, written.version],
		"/inspections/:id/parts/:id/photos": [`${looking}/parts/${liner}/photos`, inspecting.photoForm(plainPng())],
		"/inspections/:id/parts/:id/findings/photos": [`${looking}/parts/${liner}/findings/photos?point=wristlets`, inspecting.photoForm(plainPng())],
		"/inspections/:id/findings/:id/photos": [`${looking}/findings/${written.id}/photos`, inspecting.photoForm(plainPng())],
		"/photos/:id/withdraw": await page(`${photo}/withdraw`, {}, photo),
		"/inspections/:id/signature": [`${looking}/signature`, { confirmed: true }, inspected],
		"/safety-notices/:id/answers": [`${asked}/answers`, { component: [id["PX-OVERCOVER"]], answer: "done" }, 1],
		"/safety-notices/:id/answers/:id/revoke": [`${recalled}/answers/${answered}/revoke`, { reason: "not this" }, 1],
		"/exposures": ["/exposures", { component: [id["PX-GLOVES"]], cause: "combustion" }],
		"/field-tests": ["/field-tests", { component: id["PX-GLOVES"], test: "seam", sign: false }],
		"/field-tests/:id/revoke": await page(`${tested}/revoke`, { reason: "not this" }, tested),
		"/exposures/:id/revoke": await page(`${exposed}/revoke`, { reason: "not it" }, exposed),
		"/fit-checks": ["/fit-checks", worn],
		"/fit-checks/:id/revoke": await page(`${checked}/revoke`, { reason: "not these" }, checked),
		"/findings/:id/answer": await page(`/findings/${question}/answer`, { answer: "The maker says it may serve." }, `/findings/${question}`),
		"/dispatches": ["/dispatches", { provider: 1, finding: [] }],
		"/dispatches/:id/send": await page(`${drafted}/send`, {}, drafted),
		"/dispatches/:id/cancel": await page(`${drafted}/cancel`, {}, drafted),
		"/dispatches/:id/return": [`${sent}/return`, back, returned.version],
	};
	// A finding that is on no ticket yet, of a part that is held after it was found.
	await inspecting.inspect(client, "advanced", ["SX-TROUSER-SHELL"], { "SX-TROUSER-SHELL": finding("seams", "seam_open", "repair", "seat", "centre seam") });
	ways["/dispatches"][1].finding = (await client.get("/dispatches/new")).candidates.filter((one) => one.tag === "SX-TROUSER-SHELL").map((one) => one.finding);
	await hold("SX-TROUSER-SHELL");

	// What has to do with no component, gives up a draft, or only makes new ones, or says what a repair or a new part
	// would cost; and holding itself.
	const elsewhere = /(quote|\/:id\/prices)$|abandon$|^\/(sign-|look$|password|pin$|tablets?\b|accounts|tokens|stations|members|providers|notices|safety-notices(\/preview|\/:id(\/scopes.*|\/close)?)?$|settings|rules|prices|holds|ensembles$|components$)|^\/imports(\/:id\/run)?$/;
	const routes = run(["routes"]).split("\n").filter((line) => line.startsWith("POST")).map((line) => line.split(/\s+/)[1]);
	assert.ok(routes.length > 40);
	const unplaced = routes.filter((route) => !ways[route] && !elsewhere.test(route));
	assert.deepEqual(unplaced, [], "a new route that changes something is tried here, or has to do with no component");
	const before = entries();
	for (const [route, [path, body, of]] of Object.entries(ways)) {
		// Training is refused with everything in the way at once.
		const weighed = route.endsWith("/training") ? [422] : [];
		const answer = await officer.send(path, body, of, [403, 409, ...weighed]).catch((error) => assert.fail(`${route}: ${error.message}`));
		const tried = answer.status === 403 || !/held since/i.test(answer.doc.detail) ? await client.send(path, body, of, 409) : answer;
		assert.match(tried.doc.detail, /([PS]X-[A-Z-]+ .*|^)held since .*special incident \(2026-0117, hangar 2\)/i, route);
	}
	assert.equal(entries(), before, "nothing was stored");
	// What leaves the other parts free to go on: a draft given up, a part taken back as it went.
	await client.post(`${looking}/abandon`, { reason: "held" }, inspected);
	await client.post(`${sent}/return`, Object.fromEntries(Object.keys(back).map((key) => [key, "not_repaired"])), returned.version);
	assert.deepEqual((await componentOf(client, "PX-COAT-SHELL")).blockers[0].code, "special_incident_hold");
});

test("a copy made of tables holds it too", () => {
	const copy = department.copy(), log = "SELECT happened_on, time_of_day, recorded_at, who, purpose FROM custody ORDER BY id";
	const states = "SELECT c.tag, s.state FROM standing s JOIN component c ON c.id = s.component_id JOIN hold h ON h.component_id = c.id ORDER BY 1";
	assert.deepEqual(Database.rows(copy.data, states), Database.rows(department.data, states));
	assert.deepEqual(Database.rows(copy.data, log), Database.rows(department.data, log));
	copy.remove();
});

test("a table does not reach it either", async () => {
	const before = entries();
	await department.stop();
	for (const [kind, table] of [["components", "tag,kind,hazard,station,note\nPX-GLOVES,gloves,proximity,ST1,dry now\n"],
		["cleanings", "tag,cleaned_on,class,reason,performed_by\nPX-GLOVES,2026-05-01,advanced,soiled,Wash\n"],
		["inspections", "reference,kind,inspected_on,inspector,tag,conclusion\nX-1,advanced,2026-05-02,2001,PX-GLOVES,return_to_service\n"]]) {
		const result = department.import(kind, table, ["--update"]);
		assert.match(result.err, /PX-GLOVES is held since/, kind);
		assert.notEqual(result.code, 0);
	}
	assert.equal(entries(), before);
	await department.start();
});

test("held gear counts as not ready, and nobody is reminded to inspect it", async () => {
	const gloves = await componentOf(client, "PX-GLOVES");
	assert.equal(gloves.state, "held");
	assert.equal(gloves.blockers[0].code, "special_incident_hold");
	const page = await client.get(`/components/${gloves.id}`);
	assert.deepEqual(Object.keys(page.can).filter((act) => page.can[act]), ["custody", "tag"], "nothing is offered but the custody log and the tag to hang on it");
	assert.equal(page.holds[0].custody[0].purpose, "placed");
	assert.equal(Database.rows(department.data, "SELECT count(*) AS n FROM notice t JOIN hold h USING (component_id) WHERE t.created_on > h.placed_on")[0].n, 0);
});

test("wherever the state of held gear stands, it is held", async () => {
	const held = (await client.get("/holds?state=open&size=100")).rows.map((row) => row.tag);
	const words = (rows) => new Set(rows.filter((row) => held.includes(row.tag)).map((row) => row.state_label));
	const inService = held.filter((tag) => tag !== "PX-FACESHIELD"); // that one was retired before
	const listed = await client.get("/components?state=held&size=100");
	assert.deepEqual(listed.rows.map((row) => row.tag).sort(), inService.sort());
	assert.deepEqual(words(listed.rows), new Set(["held"]));
	assert.equal((await client.get("/")).counts.held, inService.length);
	assert.ok(!(await client.get("/components?state=out_of_service&size=100")).rows.some((row) => held.includes(row.tag)));
	const gloves = await componentOf(client, "PX-GLOVES");
	const { parts } = await client.get(`/ensembles/${gloves.ensemble_id}`);
	assert.deepEqual(words(parts.filter((part) => part.tag !== "PX-FACESHIELD")), new Set(["held"]));
	assert.deepEqual(words((await client.get(`/members/${gloves.holder}`)).gear), new Set(["held"]));
	const csv = (await department.json("/components.csv?state=held", { token: client.token })).text.trimEnd().split("\n");
	assert.equal(csv.length, inService.length + 1);
	assert.ok(csv.slice(1).every((line) => line.includes(",held,")));
	for (const path of [`/components/${gloves.id}`, `/ensembles/${gloves.ensemble_id}`, `/members/${gloves.holder}`, `/readiness/members/${gloves.holder}`, "/components?state=held"]) {
		const html = await department.json(path, { token: client.token, headers: { accept: "text/html" } });
		assert.match(html.text, /<span class="state state-held">held<\/span>/i, path);
	}
});

test("each access is logged; only the officer releases, with who ordered it and why", async () => {
	const [{ id }] = (await client.get("/holds?state=open&q=px-gloves")).rows, at = `/holds/${id}`;
	const access = { who: "R. Okoye, state fire marshal's office", purpose: "viewed" };
	await client.send(`${at}/custody`, access, null, 428);
	await client.send(`${at}/custody`, { purpose: "viewed" }, await version(at), 422);
	for (const wrong of [{ purpose: "released" }, { purpose: "placed" }, { happened_on: "2001-01-01" }, { happened_on: "2099-01-01" }, { time_of_day: "24:00" }, { time_of_day: "9:5" }, { time_of_day: 905 }])
		await client.send(`${at}/custody`, { ...access, ...wrong }, await version(at), 422);
	const today = new Date().toISOString().slice(0, 10);
	// A time of today that has not come is refused, while the day has one left.
	const soon = new Date(Date.now() + 120000).toISOString();
	if (soon.startsWith(today)) await client.send(`${at}/custody`, { ...access, time_of_day: soon.slice(11, 16) }, await version(at), 422);
	await client.post(`${at}/custody`, { ...access, time_of_day: "00:00" }, await version(at));
	await client.post(`${at}/custody`, access, await version(at));
	assert.deepEqual((await client.get(at)).log.map((entry) => [entry.purpose, entry.time_of_day]), [["placed", null], ["viewed", "00:00"], ["viewed", null]]);
	for (const path of [at, `/components/${await idOf(client, "PX-GLOVES")}`, `/components/${await idOf(client, "PX-GLOVES")}/record`])
		assert.match((await department.json(path, { token: client.token, headers: { accept: "text/html" } })).text, new RegExp(`${today} 00:00`), path);
	const order = { authority: "State fire marshal, letter of 2026-06-01", reason: "Investigation closed; goes to the maker." };
	await client.send(`${at}/release`, order, await version(at), 403);
	await officer.send(`${at}/release`, { authority: order.authority }, await version(at), 422);
	await officer.post(`${at}/release`, order, await version(at));
	const released = await client.get(at);
	assert.equal(released.hold.state, "released");
	assert.equal(released.log.at(-1).purpose, "released");
	await client.send(`${at}/custody`, access, released.version, 409);
	assert.equal((await componentOf(client, "PX-GLOVES")).state, "in_service", "nothing else stood in the way");
	assert.match((await department.json("/holds.csv", { token: client.token })).text, /PX-GLOVES,.*letter of 2026-06-01/);
});

test("what is worn together is offered together, and held once", async () => {
	const helmet = await idOf(client, "PX-HELMET");
	const offered = (await client.get(`/holds/new?component=${helmet}`)).worn.map((one) => one.tag);
	assert.ok(offered.includes("PX-HELMET") && offered.includes("PX-FOOTWEAR") && offered.includes("PX-GLOVES"));
	assert.ok(!offered.includes("PX-COAT-SHELL"), "it is held already");
	const again = { component: [await idOf(client, "PX-COAT-SHELL")], incident: "x", kept_where: "y", container: "paper" };
	assert.equal((await client.send("/holds", again, null, 422)).doc.errors[0].field, "component");
	await client.send("/holds", { ...again, component: [helmet], container: "plastic" }, null, 422);
});
