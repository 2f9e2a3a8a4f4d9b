// What is retired has a ground, was taken back first, is disposed of before a witness, and never
// serves again, whatever is tried; marked, clean and sound it serves for training without live fire.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { Department, browser, run, signIn } from "./harness.mjs";
import { JsonClient, answer, begin, componentOf, earlier, idOf, inspect, photoForm } from "./inspecting.mjs";
import { plainPng } from "./pictures.mjs";
import { Database } from "./sqlite.mjs";

let department, officer, inspector;
before(async () => {
	department = new Department().fill();
	officer = new JsonClient(department, department.token("2003"));
	inspector = new JsonClient(department, department.token("2001"));
	await department.start();
});
after(() => department?.finish());
const act = async (tag, path, body, wanted) => officer.send(`/components/${await idOf(officer, tag)}/${path}`, body, (await componentOf(officer, tag)).version, wanted);
const stored = (tag, columns) => Database.rows(department.data, `SELECT ${columns} FROM component WHERE tag = '${tag}'`)[0];
const cutUp = { way: "destroyed", witness: "Noor Haas, yard keeper" }, training = { use: "non_live", marked: true, mark: "TRAINING ONLY across the back" };

/** Taken back and retired today. */
async function retire(tag, ground = "age", condition = "serviceable") {
	await act(tag, "return", { condition });
	await act(tag, "retire", { ground });
}

test("taken back, retired, disposed of, in this order", async () => {
	assert.match((await act("PX-HOOD", "retire", { ground: "age" }, 409)).doc.detail, /issued to Ines Okafor\. Take it back first/);
	await act("PX-HOOD", "return", { condition: "damaged" });
	await act("PX-HOOD", "dispose", cutUp, 409);
	await act("PX-HOOD", "retire", { ground: "unsafe", reason: "worn out", on: "2026-06-10" });
	assert.equal((await act("PX-HOOD", "dispose", { ...cutUp, on: "2026-06-09" }, 422)).doc.errors[0].field, "on");
	await act("PX-HOOD", "dispose", { ...cutUp, method: "cut up", on: "2026-06-10" });
	await act("PX-HOOD", "dispose", { ...cutUp, on: "2026-06-11" }, 409);
	assert.deepEqual({ ...stored("PX-HOOD", "retired_ground, retired_reason, disposal_way, disposal_method, disposal_witness") },
		{ retired_ground: "unsafe", retired_reason: "worn out", disposal_way: "destroyed", disposal_method: "cut up", disposal_witness: "Noor Haas, yard keeper" });
});

test("a ground is one of the set; words only where it does not say it all", async () => {
	await act("PX-SHROUD", "return", { condition: "good" });
	for (const [body, field] of [[{ reason: "old" }, "ground"], [{ ground: "tired" }, "ground"], [{ ground: "unsafe" }, "reason"], [{ ground: "other" }, "reason"],
		[{ ground: "age", on: "2099-01-01" }, "on"]])
		assert.equal((await act("PX-SHROUD", "retire", body, 422)).doc.errors[0].field, field, JSON.stringify(body));
	await act("PX-SHROUD", "retire", { ground: "maker_limit" });
	const page = (await officer.get(`/components/${await idOf(officer, "PX-SHROUD")}`)).component;
	assert.equal(page.retired_text, "Maker's shorter limit reached");
	assert.equal(page.retired_reason, null);
	assert.equal(page.retired_by_name, "Eva Moreau");
	for (const [body, field] of [[{ witness: "N" }, "way"], [{ way: "burnt", witness: "N" }, "way"], [{ way: "destroyed" }, "witness"], [{ way: "other", witness: "N" }, "method"]])
		assert.equal((await act("PX-SHROUD", "dispose", body, 422)).doc.errors[0].field, field, JSON.stringify(body));
	await act("PX-SHROUD", "dispose", { way: "evidence", witness: "2001" });
	const gone = (await officer.get(`/components/${page.id}`)).component;
	assert.equal(gone.disposal_text, "Handed over as evidence");
	assert.equal(gone.disposal_witness, "Ines Okafor, badge 2001");
});

test("not while it is being inspected, nor on a day before it was issued or inspected", async () => {
	await inspect(inspector, "advanced", ["PX-OVERCOVER"]);
	await act("PX-OVERCOVER", "return", { condition: "good" });
	assert.match((await act("PX-OVERCOVER", "retire", { ground: "age", on: earlier(1) }, 409)).doc.detail, /issued, inspected or tested after/);
	const draft = await begin(inspector, "advanced", "PX-OVERCOVER");
	assert.match((await act("PX-OVERCOVER", "retire", { ground: "age" }, 409)).doc.detail, new RegExp(`in inspection ${draft}\\.`));
	await inspector.post(`/inspections/${draft}/abandon`, { reason: "it is old" }, (await inspector.get(`/inspections/${draft}`)).inspection.version);
	await act("PX-OVERCOVER", "retire", { ground: "age" });
});

test("retired while it was away, and replaced there: why it was retired stays as it was written", async () => {
	await inspect(inspector, "advanced", ["SX-COAT-LINER"], { "SX-COAT-LINER": { check_point: "wristlets", defect: "runs", outcome: "renew", zone: "left_wristlet" } });
	await act("SX-COAT-LINER", "return", { condition: "damaged" });
	const ticket = await inspector.post("/dispatches", { provider: 1, finding: (await inspector.get("/dispatches/new")).candidates.map((one) => one.finding) });
	await inspector.post(`${ticket}/send`, {}, (await inspector.get(ticket)).version);
	await act("SX-COAT-LINER", "retire", { ground: "uneconomic" });
	const { items: [item], version } = await inspector.get(`${ticket}/return`);
	await inspector.post(`${ticket}/return`, { [`result.${item.id}`]: "replaced", [`new_tag.${item.id}`]: "SX-LINER-2", [`new_made.${item.id}`]: "2026-03" }, version);
	const liner = await componentOf(officer, "SX-COAT-LINER");
	assert.equal(liner.retired_text, "Repair would cost more than it is worth");
	assert.equal(liner.replaced_by_tag, "SX-LINER-2");
});

describe("training", () => {
	test("a retired coat: live fire is refused, without live fire only clean, whole and marked", async () => {
		assert.match((await act("PX-COAT-SHELL", "training", training, 409)).doc.detail, /must be retired first/);
		await retire("PX-COAT-SHELL");
		const live = (await act("PX-COAT-SHELL", "training", { ...training, use: "live_fire" }, 422)).doc.errors[0];
		assert.equal(live.field, "use");
		assert.match(live.message, /never used for live fire training.*Texas Administrative Code/);
		assert.equal((await act("PX-COAT-SHELL", "training", { ...training, marked: false }, 422)).doc.errors[0].field, "marked");
		assert.equal((await act("PX-COAT-SHELL", "training", { use: "non_live" }, 422)).doc.errors[0].field, "marked");
		await act("PX-COAT-SHELL", "training", training);
		const coat = await componentOf(officer, "PX-COAT-SHELL");
		assert.equal(coat.state, "training_only");
		assert.match(coat.blockers[0].text, /^Retired on [\d-]+, marked for training without live fire on [\d-]+: Age limit reached$/);
		assert.equal(coat.training_by_name, "Eva Moreau");
		await act("PX-COAT-SHELL", "training", training, 409);
		const listed = await officer.get("/components?state=training_only");
		assert.deepEqual(listed.rows.map((row) => row.tag), ["PX-COAT-SHELL"]);
		assert.equal(listed.rows[0].state_label, "training only");
	});

	test("contaminated, damaged or retired as such: refused, with everything that is in the way", async () => {
		await inspect(inspector, "advanced", ["SX-COAT-SHELL"], { "SX-COAT-SHELL": { check_point: "seams", defect: "seam_open", outcome: "repair", zone: "right_sleeve", place: "cuff" } });
		await inspector.post("/exposures", { component: [await idOf(inspector, "SX-COAT-SHELL")], cause: "chemicals" });
		await retire("SX-COAT-SHELL", "uneconomic", "damaged");
		const at = `/components/${await idOf(officer, "SX-COAT-SHELL")}/training`, form = await officer.get(at);
		assert.deepEqual(form.obstacles.map((one) => one.code), ["withdrawn", "contaminated", "finding", "ground"]);
		const refused = (await act("SX-COAT-SHELL", "training", training, 422)).doc.errors;
		assert.deepEqual(refused.map((one) => one.message), form.obstacles.map((one) => one.text));
		for (const [i, words] of [/Came back damaged/, /chemicals/, /Seam/, /Repair would cost more/].entries()) assert.match(refused[i].message, words);
		const html = (await department.json(at, { token: officer.token, headers: { accept: "text/html" } })).text;
		assert.doesNotMatch(html, /name="use"/);
		assert.match(html, /<p class="blocker">[^<]*chemicals/);
		assert.equal(stored("SX-COAT-SHELL", "training_on").training_on, null);
	});

	test("what came back soiled is cleaned first; what is soiled again is no training gear", async () => {
		await retire("SX-HOOD", "age", "soiled");
		assert.match((await act("SX-HOOD", "training", training, 422)).doc.errors[0].message, /came back soiled/);
		const wash = { class: "advanced", reason: "for training", performed_by: "Clearwater Wash" };
		await act("SX-HOOD", "cleanings", wash);
		await act("SX-HOOD", "training", training);
		assert.equal((await componentOf(officer, "SX-HOOD")).state, "training_only");
		await officer.post("/exposures", { component: [await idOf(officer, "SX-HOOD")], cause: "combustion" });
		assert.equal((await componentOf(officer, "SX-HOOD")).state, "retired");
		await act("SX-HOOD", "cleanings", { ...wash, done_after: true });
		assert.equal((await componentOf(officer, "SX-HOOD")).state, "training_only");
	});

	test("it is disposed of later, and then it is no training gear either", async () => {
		await act("SX-HOOD", "dispose", cutUp);
		assert.equal((await componentOf(officer, "SX-HOOD")).state, "retired");
		await act("SX-HOOD", "cleanings", { class: "routine", reason: "x", performed_by: "y" }, 409);
		assert.match((await officer.get(`/components/${await idOf(officer, "SX-HOOD")}/record`)).component.disposal_text, /^Destroyed/);
	});
});

describe("by form", () => {
	let page, chrome;
	before(async () => {
		chrome = await browser();
		page = await (await chrome.newContext({ viewport: { width: 360, height: 740 }, javaScriptEnabled: false })).newPage();
		await signIn(page, department, "2003");
	});
	after(() => chrome?.close());

	test("one tap for the ground, one for the method, and the page says what became of it", async () => {
		await act("SX-GLOVES", "return", { condition: "good" });
		await page.goto(`${department.url}/components/${await idOf(officer, "SX-GLOVES")}`);
		await page.click("a.button:text-is('Retire')");
		await page.check("input[name=ground][value=age]");
		await page.click("button:text-is('Retire')");
		await page.click("text=Mark for training");
		assert.match(await page.textContent(".caution"), /nobody can use it for firefighting or live fire training/);
		await page.check("input[value=live_fire]");
		await page.check("input[name=marked][value=yes]");
		await page.click("button:text-is('Mark for training')");
		assert.match(await page.textContent("#errors"), /never used for live fire training/);
		await page.check("input[value=non_live]");
		await page.click("button:text-is('Mark for training')");
		assert.match(await page.textContent(".lead"), /training only/);
		await page.click("text=Dispose of");
		await page.check("input[value=returned]");
		await page.fill("#f-witness", "2002");
		await page.click("button:text-is('Record the disposal')");
		const facts = await page.textContent(".facts");
		assert.match(facts, /Age limit reached \(Eva Moreau\)/);
		assert.match(facts, /Returned to a fire shop, maker or provider for destruction; witness: Bo Larsen, badge 2002/);
	});
});

test("nothing brings retired gear back: every route that changes something is tried", async () => {
	const seam = { check_point: "seams", defect: "seam_open", outcome: "repair", zone: "seat", place: "centre seam" };
	const ticketFor = async (tag) => inspector.post("/dispatches", { provider: 1, finding: (await inspector.get("/dispatches/new")).candidates.filter((one) => one.tag === tag).map((one) => one.finding) });
	const versionOf = async (path) => (await officer.get(path)).version;
	// A ticket not sent yet when its part is retired.
	await inspect(inspector, "advanced", ["SX-TROUSER-SHELL"], { "SX-TROUSER-SHELL": seam });
	const drafted = await ticketFor("SX-TROUSER-SHELL");
	await retire("SX-TROUSER-SHELL");
	// An inspection under way when its part is replaced at the provider.
	await inspect(inspector, "advanced", ["PX-TROUSER-SHELL"], { "PX-TROUSER-SHELL": seam });
	const sent = await ticketFor("PX-TROUSER-SHELL"), draft = await begin(inspector, "advanced", "PX-TROUSER-SHELL"), at = `/inspections/${draft}`;
	await answer(inspector, draft, { "PX-TROUSER-SHELL": { ...seam, place: "left seam" } });
	const looked = `${at}/parts/${await idOf(inspector, "PX-TROUSER-SHELL")}`, photo = await inspector.give(`${looked}/photos`, plainPng());
	await inspector.post(`${sent}/send`, {}, await versionOf(sent));
	const back = await inspector.get(`${sent}/return`), replaced = Object.fromEntries(back.items.flatMap(({ id }) => [[`result.${id}`, "replaced"], [`new_tag.${id}`, "PX-NEW"], [`new_made.${id}`, "2026-03"]]));
	await inspector.post(`${sent}/return`, replaced, back.version);
	const old = await componentOf(officer, "PX-TROUSER-SHELL");
	assert.match(old.retired_text, /^Replaced by the provider instead of a repair: Repair ticket R-/);
	assert.equal(old.replaced_by_tag, "PX-NEW");

	const view = await inspector.get(`${at}/review`), part = view.parts[0], written = view.findings[0];
	const group = (await inspector.get(`${at}/parts/${old.id}`)).groups[0].code, points = (await inspector.get(`${at}/parts/${old.id}?group=${group}`)).points;
	const again = { severity: "minor", ...seam, place: "right seam" };
	const ways = {
		"/inspections/:id/take-over": [`${at}/take-over`, {}, view.inspection.version],
		"/inspections/:id/preparation": [`${at}/preparation`, { [`clean.${old.id}`]: "no" }, view.inspection.version],
		"/inspections/:id/parts/:id": [`${at}/parts/${old.id}?group=${group}`, Object.fromEntries(points.map((point) => [point.code, "sound"])), part.version],
		"/inspections/:id/parts/:id/findings": [`${at}/parts/${old.id}/findings?point=seams&defect=seam_open`, again, part.version],
		"/inspections/:id/findings/:id": [`${at}/findings/${written.id}`, again, written.version],
		"/inspections/:id/findings/:id/withdraw": [`${at}/findings/${written.id}/withdraw`, {}, written.version],
		"/inspections/:id/parts/:id/photos": [`${looked}/photos`, photoForm(plainPng())],
		"/inspections/:id/parts/:id/findings/photos": [`${looked}/findings/photos?point=seams`, photoForm(plainPng())],
		"/inspections/:id/findings/:id/photos": [`${at}/findings/${written.id}/photos`, photoForm(plainPng())],
		"/photos/:id/withdraw": [`${photo}/withdraw`, {}, 1],
		"/inspections/:id/signature": [`${at}/signature`, { confirmed: true }, view.inspection.version],
		"/dispatches/:id/send": [`${drafted}/send`, {}, await versionOf(drafted)],
		"/dispatches": ["/dispatches", { provider: 1, finding: [(await inspector.get(drafted)).items[0].finding] }],
	};
	const act = { "/issue": { member: 1, condition: "good" }, "/return": { condition: "good" }, "/withdraw": { reason: "x" }, "/retire": { ground: "lost" }, "/prices": { price: "1.00" }, "": { ensemble: "SX-1", in_service_on: "2026-01-01" } };
	for (const name of Object.keys(act)) ways[`/components/:id${name}`] = null; // of each part, below
	ways["/inspections"] = ways["/field-tests"] = null;
	// What leaves it retired: its custody, its cleanings, its end, what others ask about it, a ticket's end, a
	// draft given up; and what is about no component.
	const elsewhere = /^\/components(\/:id\/(cleanings|release|dispose|training|prices))?$|^\/(holds|exposures|field-tests\/:id|safety-notices|findings)|cancel$|quote$|abandon$|dispatches\/:id\/return$|^\/(sign-|look$|password|pin$|tablets?\/?|accounts|tokens|stations|members|providers|notices|settings|rules|prices|ensembles|fit-checks)|^\/imports/;
	const routes = run(["routes"]).split("\n").filter((line) => line.startsWith("POST")).map((line) => line.split(/\s+/)[1]);
	assert.ok(routes.length > 40);
	assert.deepEqual(routes.filter((route) => !(route in ways) && !elsewhere.test(route)), [], "a new route that changes something is tried here, or leaves it retired");

	const retired = ["PX-TROUSER-SHELL", "SX-TROUSER-SHELL", "PX-OVERCOVER", "PX-COAT-SHELL", "PX-HOOD"];
	const facts = () => retired.map((tag) => stored(tag, "retired_on, retired_ground, retired_reason, retired_by, ensemble_id, in_service_on")), before = facts();
	for (const [route, way] of Object.entries(ways))
		if (way) assert.match(JSON.stringify((await inspector.send(way[0], way[1], way[2], [409, 422])).doc), /retired|not open for repair/, route);
	for (const tag of retired) {
		const id = await idOf(officer, tag), version = (await componentOf(officer, tag)).version;
		for (const [name, body] of Object.entries(act)) await officer.send(`/components/${id}${name}`, body, version, 409);
		await officer.send(`/components/${id}`, { retired_on: null }, version, 422);
		for (const kind of ["routine", "advanced", "liner", "return"]) await officer.send("/inspections", { kind, component: [id] }, null, 409);
		await inspector.send("/field-tests", { component: id, test: "light", sign: false }, null, 409);
		const page = await officer.get(`/components/${id}`);
		for (const offered of ["inspect", "look", "issue", "withdraw", "retire", "change", "take_back"]) assert.equal(page.can[offered], false, `${tag} ${offered}`);
		assert.ok(["retired", "training_only"].includes(page.component.state));
	}
	assert.deepEqual(facts(), before);
	await inspector.post(`${at}/abandon`, { reason: "replaced" }, (await inspector.get(at)).inspection.version);
	assert.equal(Database.rows(department.data, "SELECT count(*) AS n FROM standing s JOIN component c ON c.id = s.component_id WHERE c.retired_on IS NOT NULL AND (s.ready_until <> '' OR s.state NOT IN ('retired', 'training_only'))")[0].n, 0);
});

describe("tables", () => {
	const columns = "tag,kind,hazard,station,retired_on,retired_reason,disposed_on,disposal_method";
	const bring = (tag, cells, head = columns) => department.import("components", `${head}\n${tag},hood,proximity,ST1,${cells.join()}\n`, ["--update"]);
	const same = ["2026-06-10", "worn out", "2026-06-10", "cut up"];
	before(() => department.stop());
	after(() => department.start());

	test("a table says the same of its end, or nothing", () => {
		const ended = () => stored("PX-HOOD", "retired_on, retired_reason, retired_ground, disposed_on, disposal_method, disposal_way, training_on"), before = ended();
		assert.equal(bring("PX-HOOD", same).code, 0);
		for (const [column, cells] of [["retired_on", same.with(0, "2026-06-09")], ["retired_reason", same.with(1, "lost")],
			["disposed_on", same.with(2, "2026-06-12")], ["disposal_method", same.with(3, "given away")]])
			assert.match(bring("PX-HOOD", cells).err, new RegExp(`column ${column}: On record it is .*, and stays so`));
		for (const [column, value] of [["retired_ground", "age"], ["disposal_way", "evidence"], ["disposal_witness", "somebody else"], ["retired_by", "2001"]])
			assert.match(bring("PX-HOOD", [...same, value], `${columns},${column}`).err, new RegExp(`column ${column}: On record it is .*, and stays so`));
		assert.match(bring("NEW-1", same.with(2, "2026-06-09")).err, /column disposed_on: It was retired on 2026-06-10/);
		assert.match(bring("NEW-1", same.with(0, "2099-01-01").with(2, "2099-01-02")).err, /in the future/);
		assert.deepEqual(ended(), before);
	});

	test("a record of before keeps its words: its ground stays unknown", () => {
		assert.equal(bring("OLD-1", ["2020-01-01", "moths", "", ""]).code, 0);
		assert.match(bring("OLD-1", ["2020-01-01", "moths", "", "", "age"], `${columns},retired_ground`).err, /column retired_ground: On record it is "", and stays so/);
		assert.equal(bring("OLD-1", ["", "", "2020-02-01", ""], columns).code, 1, "disposed of without saying how");
		assert.equal(bring("OLD-1", ["", "", "2020-02-01", "buried"], columns).code, 0);
		assert.deepEqual({ ...stored("OLD-1", "retired_ground AS ground, retired_reason AS reason, disposal_way AS way, disposal_method AS method") },
			{ ground: null, reason: "moths", way: null, method: "buried" });
	});

	for (const [name, cells, says] of [
		["a ground without a day", { retired_ground: "age" }, /column retired_on: Retirement needs both/],
		["a ground that needs words", { retired_on: "2025-01-01", retired_ground: "other" }, /column retired_on: Retirement needs both/],
		["a way without a day", { retired_on: "2025-01-01", retired_ground: "age", disposal_way: "destroyed" }, /column disposed_on: Disposal needs both/],
		["disposed of without retirement", { disposed_on: "2025-01-01", disposal_way: "destroyed" }, /column disposed_on: Only what is retired/],
		["training of what serves", { training_on: "2025-01-01" }, /column training_on: Only what is retired/],
		["training before it was retired", { retired_on: "2025-01-01", retired_ground: "age", training_on: "2024-01-01" }, /column training_on: It was retired on 2025-01-01/],
		["disposed of before it was marked", { retired_on: "2025-01-01", retired_ground: "age", training_on: "2025-02-01", disposed_on: "2025-01-15", disposal_way: "destroyed" }, /column disposed_on: It was marked for training on/],
		["training of what was contaminated for good", { retired_on: "2025-01-01", retired_ground: "contaminated", training_on: "2025-02-01" }, /column training_on: It cannot serve for training: Retired because: Contamination/],
		["a mark without a day", { retired_on: "2025-01-01", retired_ground: "age", training_mark: "red" }, /column training_on: Say when it was marked/],
		["a ground that is none", { retired_on: "2025-01-01", retired_ground: "fashion" }, /column retired_ground/],
	])
		test(`refused: ${name}`, () => {
			const head = `tag,kind,hazard,station,${Object.keys(cells)}`, result = bring("NEW-2", Object.values(cells), head);
			assert.equal(result.code, 1);
			assert.match(result.err, says);
		});

	test("retired by a table while an inspection of it is under way: refused", async () => {
		await department.start();
		const draft = await begin(inspector, "advanced", "SX-DRD");
		await act("SX-DRD", "return", { condition: "good" });
		await department.stop();
		const result = department.import("components", `tag,kind,hazard,station,retired_on,retired_ground\nSX-DRD,drd,structural,ST1,${earlier(0)},age\n`, ["--update"]);
		assert.match(result.err, new RegExp(`column retired_on: It is being inspected, in inspection ${draft}\\.`));
	});

	test("training of what has open damage is refused to a table too", () => {
		const result = department.import("components", `tag,kind,hazard,station,training_on\nSX-COAT-SHELL,coat_shell,structural,ST1,${earlier(0)}\n`, ["--update"]);
		assert.match(result.err, /column training_on: It cannot serve for training: .*chemicals/);
	});

	test("no table issues, installs or inspects what is retired", () => {
		const day = earlier(0);
		for (const [kind, table, says] of [
			["components", `tag,kind,hazard,station,ensemble\nOLD-1,hood,proximity,ST1,PX-1\n`, /column ensemble: It was retired on 2020-01-01/],
			["components", `tag,kind,hazard,station,in_service_on\nOLD-1,hood,proximity,ST1,2024-01-01\n`, /column in_service_on: It was retired on/],
			["components", `tag,kind,hazard,station,holder,issued_on\nOLD-1,hood,proximity,ST1,2001,${day}\n`, /column holder: What is retired is issued to nobody/],
			["components", `tag,kind,hazard,station,retired_on,retired_ground\nPX-FOOTWEAR,footwear,proximity,ST1,${day},age\n`, /column retired_on: It is issued to Ines Okafor\. Take it back first/],
			["issues", `tag,badge,issued_on,condition,returned_on,condition_at_return\nOLD-1,2001,2021-01-01,good,2021-02-01,good\n`, /column issued_on: It was retired before that day/],
			["field_tests", `tag,test,tested_on,performed_by,recorded_by,sign\nOLD-1,seam,2021-01-01,Ines Okafor,2001,no\n`, /column tested_on: It was retired before that day/],
			["inspections", `reference,kind,inspected_on,inspector,tag,conclusion\nR-1,advanced,2021-01-01,2001,OLD-1,return_to_service\n`, /column inspected_on: It was retired before that day/],
		]) {
			const result = department.import(kind, table, ["--update"]);
			assert.equal(result.code, 1, table);
			assert.match(result.err, says, table);
		}
		// What was before its end is history like any other.
		assert.equal(department.import("inspections", "reference,kind,inspected_on,inspector,tag,conclusion\nR-2,advanced,2019-01-01,2001,OLD-1,retire\n").code, 0);
		assert.equal(department.import("issues", "tag,badge,issued_on,condition,returned_on,condition_at_return\nOLD-1,2001,2018-01-01,good,2019-02-01,good\n").code, 0);
	});

	test("a copy made of tables has the same ends", () => {
		const copy = department.copy(), ends = "SELECT c.tag, s.state, c.retired_on, c.retired_ground, c.retired_reason, r.badge AS by, c.disposed_on, c.disposal_way, c.disposal_method, c.disposal_witness, c.training_on, c.training_mark, t.badge AS training_by FROM component c JOIN standing s ON s.component_id = c.id LEFT JOIN member r ON r.id = c.retired_by LEFT JOIN member t ON t.id = c.training_by WHERE c.retired_on IS NOT NULL ORDER BY 1";
		assert.ok(Database.rows(copy.data, ends).length > 5);
		assert.deepEqual(Database.rows(copy.data, ends), Database.rows(department.data, ends));
		copy.remove();
	});
});
