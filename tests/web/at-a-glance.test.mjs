// What somebody with wet hands has to see without looking for it: who is signed in, what is still
// to be answered, what to do next, and a way back.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { browser, signIn } from "./harness.mjs";
import { begin, earlier, idOf, inspect, prepare, staffed } from "./inspecting.mjs";
import { enrolled } from "./tablet.mjs";

let department, inspector, member, officer, chrome;
before(async () => {
	({ department, inspector, member, officer } = await staffed());
	chrome = await browser();
});
after(() => department.finish());

const phone = { viewport: { width: 360, height: 740 }, reducedMotion: "reduce" };
async function open(options) {
	const page = await (await chrome.newContext({ ...phone, ...options })).newPage();
	await signIn(page, department, "2001");
	return page;
}
const html = async (path, client = inspector) => (await department.json(path, { token: client.token, headers: { accept: "text/html" } })).text;

/** What is read out of the part of the page that matches, what the stylesheet writes into it too. */
async function heard(page, selector) {
	const asking = await page.context().newCDPSession(page);
	const { root } = await asking.send("DOM.getDocument");
	const { nodeId } = await asking.send("DOM.querySelector", { nodeId: root.nodeId, selector });
	const { nodes } = await asking.send("Accessibility.queryAXTree", { nodeId, role: "StaticText" });
	return nodes.map((node) => node.name.value).join("").replace(/\s+/g, " ").trim();
}

for (const javaScriptEnabled of [false, true])
	test(`how many points of a group have no answer, scripts ${javaScriptEnabled ? "on" : "off"}`, async () => {
		const tag = javaScriptEnabled ? "SX-HELMET" : "PX-HELMET", id = await begin(inspector, "advanced", tag);
		await prepare(inspector, id);
		const page = await open({ javaScriptEnabled }), at = `${department.url}/inspections/${id}/parts/${await idOf(inspector, tag)}`;
		await page.goto(at);
		const points = await page.locator("main fieldset:has(input[value=sound])").count();
		assert.ok(points > 1);
		assert.equal(await heard(page, ".left"), `${points} without an answer`);
		await page.locator("label.choice-sound").first().click();
		assert.equal(await heard(page, ".left"), `${points - 1} without an answer`);
		// Saved with points left the same page comes, and says why.
		await Promise.all([page.waitForEvent("load"), page.click("main form:not([data-photos]) button[type=submit]:not([name])")]);
		assert.equal(await heard(page, ".left"), `${points - 1} without an answer`);
		for (const sound of await page.locator("label.choice-sound").all()) {
			await sound.evaluate((one) => one.scrollIntoView({ block: "center" }));
			await sound.click();
		}
		assert.equal(await page.locator(".left").evaluate((one) => getComputedStyle(one).visibility), "hidden");
		await page.context().close();
	});

test("an answer can be tapped on a phone without scrolling", async () => {
	const id = await begin(inspector, "advanced", "PX-GLOVES");
	await prepare(inspector, id);
	const page = await open();
	await page.goto(`${department.url}/inspections/${id}/parts/${await idOf(inspector, "PX-GLOVES")}`);
	const sound = await page.locator("label.choice-sound").first().boundingBox(), bar = await page.locator(".sticky").boundingBox();
	assert.ok(sound.y + sound.height <= bar.y, `${sound.y + sound.height} is under the bar at ${bar.y}`);
	await page.context().close();
});

test("who is signed in stands on every page, without opening the menu", async () => {
	const page = await open({ javaScriptEnabled: false });
	for (const path of ["/", "/inspections", "/components"]) {
		await page.goto(department.url + path);
		const name = page.locator(".top .signed-in");
		assert.match(await name.textContent(), /Ines Okafor/);
		assert.ok(await name.isVisible());
	}
	await page.context().close();
});

test("a part at a provider leads to its ticket, and to what is done when it is back", async () => {
	await inspect(inspector, "advanced", ["PX-FOOTWEAR"], { "PX-FOOTWEAR": { check_point: "pair", defect: "incomplete_pair", outcome: "replace", zone: "right_sole" } });
	const component = await idOf(inspector, "PX-FOOTWEAR");
	const [{ finding }] = (await inspector.get(`/dispatches/new?component=${component}`)).candidates.filter((one) => one.tag === "PX-FOOTWEAR");
	const ticket = await inspector.post("/dispatches", { provider: 1, finding: [finding] });
	assert.doesNotMatch(await html(ticket), /<dd><\/dd>/, "nothing is left blank");
	assert.doesNotMatch(await html(`/components/${component}`), /It came back/, "it is not away yet");
	await inspector.post(`${ticket}/send`, {}, (await inspector.get(ticket)).version);
	const away = (await inspector.get(`/components/${component}`)).component.blockers.find((one) => one.code === "at_provider");
	assert.equal(away.url, ticket);
	assert.ok((await html(`/components/${component}`)).includes(`href="${ticket}/return">It came back from repair`));
	assert.ok(!(await html(`/components/${component}`, member)).includes("It came back"), "whoever may not is not led there");
});

test("what is back from repair is asked about a new part only where it was replaced", async () => {
	await inspect(inspector, "advanced", ["PX-COAT-SHELL", "PX-TROUSER-SHELL"], { "PX-TROUSER-SHELL": { check_point: "aluminized", defect: "burnt", outcome: "repair", zone: "left_knee" },
		"PX-COAT-SHELL": { check_point: "aluminized", defect: "burnt", outcome: "repair", zone: "chest" } });
	const found = (await inspector.get("/dispatches/new")).candidates.filter((one) => ["PX-COAT-SHELL", "PX-TROUSER-SHELL"].includes(one.tag)).map((one) => one.finding);
	assert.equal(found.length, 2);
	const ticket = await inspector.post("/dispatches", { provider: 1, finding: found });
	await inspector.post(`${ticket}/send`, {}, (await inspector.get(ticket)).version);
	const page = await open({ javaScriptEnabled: false });
	await page.goto(`${department.url}${ticket}/return`);
	const tag = (part) => page.locator("section.card").nth(part).locator("input[name^=new_tag]");
	assert.equal(await tag(0).isVisible(), false);
	// Said to be replaced without saying by what: the page that answers shows where to say it.
	const results = page.locator("select[name^=result]");
	await results.nth(0).selectOption("replaced");
	await results.nth(1).selectOption("repaired");
	await Promise.all([page.waitForEvent("load"), page.click("main form button[type=submit]")]);
	assert.ok(await page.locator("#errors").isVisible());
	assert.deepEqual([await tag(0).isVisible(), await tag(1).isVisible()], [true, false]);
	await page.context().close();
});

test("the caution about used gear stands where used gear is taken in hand", async () => {
	const component = await idOf(inspector, "SX-HOOD");
	for (const path of [`/components/${component}/return`, `/components/${component}/cleanings`, `/exposures/new?component=${component}`, `/inspections/new?component=${component}`])
		assert.match(await html(path), /Treat gear as contaminated until it is known to be clean/, path);
	assert.doesNotMatch(await html("/components/new", officer), /Treat gear as contaminated/);
});

test("what is folded on the screen is there on paper", async () => {
	const id = await inspect(inspector, "advanced", ["SX-FOOTWEAR"]).then((signed) => signed.inspection.id), page = await open();
	await page.goto(`${department.url}/inspections/${id}/next`);
	const due = page.locator("details li", { hasText: "Retirement" }), seen = () => due.evaluate((one) => one.checkVisibility());
	assert.equal(await seen(), false);
	assert.match(await page.locator("details > summary", { hasText: "Due next" }).textContent(), /Due next: [A-Z][a-z ]+ \d{4}-\d\d-\d\d/);
	await page.emulateMedia({ media: "print" });
	assert.equal(await seen(), true);
	await page.context().close();
});

test("the address of a form, opened by itself, says what it is", async () => {
	const answer = await department.json("/safety-notices/preview", { token: officer.token, headers: { accept: "text/html" } });
	assert.equal(answer.status, 405);
	assert.match(answer.text, /a form is sent to this address\. Go back to the form/);
	assert.doesNotMatch(answer.text, /\bGET\b/);
});

test("what is over is not said of today, and nobody is advised about what is retired", async () => {
	const made = await officer.post("/components", { tag: "OLD-1", kind: "coat_liner", hazard: "structural", station: 1, maker: "Harrow and Pell", serial: "SN-OLD-1", made: "2021-01", in_service_on: "2021-02-01" });
	await officer.post(`${made}/prices`, { price: "620.00" }, (await officer.get(made)).component.version);
	const { component, was_ready } = await officer.get(made);
	assert.ok(component.ready_until < earlier(0) && was_ready);
	assert.match(await html(made, officer), /was ready until/);
	const serving = await inspector.get(`/components/${await idOf(inspector, "SX-HOOD")}`);
	assert.equal(serving.was_ready, false);
	assert.match(await html(made, officer), /Repair or replace/);
	await officer.post(`${made}/retire`, { ground: "lost" }, component.version);
	assert.doesNotMatch(await html(made, officer), /Repair or replace/);
});

test("a finding of long ago names its check point as people do", async () => {
	const day = earlier(30);
	await department.stop();
	for (const [kind, text] of [["inspections", `reference,kind,inspected_on,inspector,performer,tag,conclusion\nH-1,advanced,${day},2001,,PX-HOOD,out_of_service\n`],
		["findings", "reference,tag,check_point,defect,zone,place,severity,outcome,state,closed_on,note\nH-1,PX-HOOD,label,missing,crown,,minor,ask_maker,open,,\n"]]) {
		const result = department.import(kind, text);
		assert.equal(result.code, 0, result.err);
	}
	await department.start();
	const { id } = (await inspector.get("/findings?q=PX-HOOD")).rows[0];
	assert.match(await html(`/findings/${id}`), /<dt>Check point<\/dt><dd>Labels present and legible/);
});

test("lists say it in the words of the pages", async () => {
	const component = [await idOf(inspector, "SX-TROUSER-SHELL")];
	await inspector.post("/exposures", { component, cause: "cbrn", contaminants: "powder" });
	const exposures = await html("/exposures");
	assert.match(exposures, /Waits for its cleaning/);
	assert.match(exposures, />CBRN agents: powder</);
	await inspector.post("/holds", { component, incident: "fall", kept_where: "locker", container: "paper" });
	assert.match(await html("/holds"), /<span class="state state-open">Held</);
});

test("what was never issued says so in its record", async () => {
	const made = await officer.post("/components", { tag: "NEW-1", kind: "hood", hazard: "structural", station: 1 });
	const page = await html(`${made}/record`, officer);
	assert.match(page, /Not issued now; earlier issues below/);
	const issued = await html(`/components/${await idOf(inspector, "SX-HOOD")}/record`);
	assert.match(issued, /<dd>\d{4}-\d\d-\d\d, [a-z]+; earlier issues below/);
});

test("from \"what was found\" there is a way back to the check points", async () => {
	const id = await begin(inspector, "advanced", "SX-GLOVES"), part = `/inspections/${id}/parts/${await idOf(inspector, "SX-GLOVES")}`;
	await prepare(inspector, id);
	const [point] = (await inspector.get(part)).points, { group } = await inspector.get(part);
	assert.match(await html(`${part}/findings?point=${point.code}`), new RegExp(`<a [^>]*href="${part.replaceAll("/", "\\/")}\\?group=${group}">Back`));
});

test("a device that is no shared tablet yet is led from the sign-in to where it becomes one", async () => {
	const page = (cookie) => fetch(`${department.url}/sign-in?names=yes`, { headers: { accept: "text/html", cookie } }).then((answer) => answer.text());
	assert.match(await page(""), /href="\/tablet\/enrol"/);
	const { station } = (await officer.get("/members?q=2001")).rows[0];
	const tablet = await enrolled(department, officer.token, station, "Bay 1");
	assert.doesNotMatch(await page(`pegwarden_tablet=${tablet.cookies.get("pegwarden_tablet")}`), /href="\/tablet\/enrol"/);
});

test("a finding is asked for in the order in which it is told, and what is missing is picked", async () => {
	const id = await begin(inspector, "advanced", "SX-COAT-LINER");
	await prepare(inspector, id);
	const path = `/inspections/${id}/parts/${await idOf(inspector, "SX-COAT-LINER")}/findings`;
	const point = (await inspector.get(path.replace("/findings", ""))).points[0].code;
	const defect = (await inspector.get(`${path}?point=${point}`)).defects[0].code;
	for (const form of [await html(`${path}?point=${point}&defect=${defect}`), await html(path)]) {
		const at = ["zone", "place", "severity", "outcome", "override_reason", "note"].map((name) => form.indexOf(` name="${name}"`));
		assert.ok(at.every((one) => one > 0), `${at}`);
		assert.deepEqual(at, at.toSorted((a, b) => a - b));
	}
	const whole = (await inspector.get(`${path}?point=${point}&defect=${defect}`)).form.map((field) => field.name);
	assert.ok(whole.includes("place") && whole.includes("note"), "for programs the form is one");
	const { errors } = (await inspector.send(path, { check_point: point, defect }, (await inspector.get(`${path}?point=${point}`)).version, 422)).doc;
	const said = Object.fromEntries(errors.map((one) => [one.field, one.message]));
	for (const field of ["zone", "severity", "outcome"]) assert.match(said[field], /is required\. Choose one\.$/);
	// What is confirmed is a sentence, and stays one.
	const review = await inspector.get(`/inspections/${id}/review`);
	const [confirmed] = (await inspector.send(`/inspections/${id}/signature`, {}, review.inspection.version, 422)).doc.errors;
	assert.match(confirmed.message, /what I found\. Answer yes or no\.$/);
});

test("a draft's overview is the parts; its form unfolds, and is printed all the same", async () => {
	const id = await begin(inspector, "advanced", "PX-OVERCOVER"), page = await open({});
	const title = (await prepare(inspector, id), await inspector.get(`/inspections/${id}/parts/${await idOf(inspector, "PX-OVERCOVER")}`)).points[0].title;
	const row = page.locator(".paper-points").getByText(title, { exact: true });
	await page.goto(`${department.url}/inspections/${id}`);
	assert.ok(!await row.isVisible());
	await page.click("summary >> text=point by point");
	assert.ok(await row.isVisible());
	await page.click("summary >> text=point by point");
	await page.emulateMedia({ media: "print" });
	assert.ok(await row.isVisible());
	await page.context().close();
});

test("what is still to do says so once; a word that stands alone begins with a capital", async () => {
	const id = await begin(inspector, "advanced", "PX-TROUSER-LINER"), page = await open({});
	await prepare(inspector, id);
	await page.goto(`${department.url}/inspections/${id}/review`);
	assert.match(await page.innerText(".lead"), /: Not finished/);
	assert.ok(await page.locator(".todo li").count() > 5);
	assert.doesNotMatch(await page.innerText(".todo"), /Not answered/);
	await page.goto(`${department.url}/components?hazard=proximity`);
	const seen = await page.locator("tbody tr").first().locator(".word, .state").evaluateAll((all) => all.map((one) => getComputedStyle(one, "::first-letter").textTransform));
	assert.ok(seen.length >= 2);
	assert.ok(seen.every((one) => one === "uppercase"), `${seen}`);
	assert.deepEqual((await inspector.get("/components?hazard=proximity")).rows[0].hazard, "proximity", "for programs it is the word of the table");
	await page.context().close();
});

test("the menu stands in groups, and each place once", async () => {
	const menu = (text) => text.slice(text.indexOf("<nav"), text.indexOf("</nav>"));
	const groups = (text) => menu(text).split("<section ").slice(1).map((one) => [...one.matchAll(/<li><a href="([^"]+)"/g)].map(([, path]) => path));
	const [work, department, own, ...more] = groups(await html("/components"));
	assert.ok(work.includes("/inspections") && department.includes("/stations") && own.includes("/pin") && !more.length);
	const all = groups(await html("/", officer)).flat();
	assert.equal(new Set(all).size, all.length);
	assert.ok(all.includes("/rules") && ![...work, ...department, ...own].includes("/rules"), "only where one may go");
	assert.match(menu(await html("/components")), /<a href="\/components" aria-current="page">/);
});
