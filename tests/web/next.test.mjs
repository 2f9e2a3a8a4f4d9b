// What happens after an inspection is signed, and its form on paper: filled in and blank.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Department, browser, componentColumns, ensembleRows, signIn } from "./harness.mjs";
import { JsonClient, answer, begin, idOf, prepare, sign } from "./inspecting.mjs";

let department, inspector, member;
before(async () => {
	department = new Department().fill();
	// Reserve gear: one coat shell that fits, one of another model, one that somebody has; and hoods.
	const [shell] = ensembleRows("RX", "structural", "", "", "ST1").filter((row) => row.includes("COAT-SHELL"));
	const rows = [shell, shell.replace("RX-COAT-SHELL", "RX-OTHER").replace(",M1,M,", ",M7,M,"), shell.replace("RX-COAT-SHELL", "RX-TAKEN").replace(/,,2026-01-10$/, ",2001,2026-01-10"),
		shell.replace("RX-COAT-SHELL", "RX-SMALL").replace(",M1,M,", ",M1,S,")].map((row) => row.replace(/,,2026-01-10$/, ",,"));
	const made = department.import("components", [componentColumns, ...rows].join("\r\n") + "\r\n");
	assert.equal(made.code, 0, made.err);
	inspector = new JsonClient(department, department.token("2001"));
	member = new JsonClient(department, department.token("2002"));
	await department.start();
});
after(() => department.finish());
const html = async (path, who = inspector) => (await department.json(path, { token: who.token, headers: { accept: "text/html" } })).text;
const plain = (text) => text.replace(/<[^>]+>/g, " ").replace(/\s+/g, " ");
const count = (text, what) => text.split(what).length - 1;

test("each part says where it goes: ticket, tag, cleaning, cover, what is due", async () => {
	const ensemble = (await inspector.get("/ensembles")).rows.find((one) => one.code === "SX-1").id;
	const id = await begin(inspector, { kind: "advanced", ensemble });
	assert.equal((await department.json(`/inspections/${id}/next`, { token: inspector.token })).status, 409);
	await answer(inspector, id, { "SX-COAT-SHELL": { check_point: "heat", defect: "charred", zone: "chest", outcome: "repair" } });
	const review = await html(`/inspections/${id}/review`);
	assert.match(plain(review), /SX-COAT-SHELL: Charred ; Chest, outside; major\. Repair/);
	await sign(inspector, id);
	const doc = await inspector.get(`/inspections/${id}/next`), of = Object.fromEntries(doc.next_of_parts.map((part) => [part.tag, part]));
	const shell = of["SX-COAT-SHELL"], liner = of["SX-COAT-LINER"], hood = of["SX-HOOD"];
	assert.deepEqual([shell.is_out, shell.gets_ticket, shell.cleans_first, shell.wearer.badge], [true, true, false, "2002"]);
	assert.deepEqual(shell.reserve.map((one) => one.tag), ["RX-COAT-SHELL"]);
	assert.deepEqual([liner.is_out, liner.is_waiting, liner.gets_ticket], [true, true, false]);
	assert.deepEqual([hood.is_out, hood.wearer, hood.reserve], [false, null, []]);
	assert.equal(doc.out_count, doc.next_of_parts.filter((part) => part.is_out).length);
	assert.ok(hood.duties.some((duty) => duty.duty === "advanced_inspection" && duty.due_on > doc.inspection.inspected_on));

	const page = await html(`/inspections/${id}/next`), component = await idOf(inspector, "SX-COAT-SHELL");
	for (const path of [`/dispatches/new?component=${component}`, `/components/${component}/out-of-service-tag`, "/readiness/members/", `/components/${await idOf(inspector, "RX-COAT-SHELL")}/issue`])
		assert.ok(page.includes(`href="${path}`), path);
	const ticket = await inspector.get(`/dispatches/new?component=${component}`);
	assert.deepEqual(ticket.candidates.map((one) => one.tag), ["SX-COAT-SHELL"]);
	// Who may not make a ticket is not led there.
	assert.ok(!(await html(`/inspections/${id}/next`, member)).includes("/dispatches/new"));
});

test("what is not clean is cleaned first", async () => {
	const id = await begin(inspector, "advanced", "PX-HOOD");
	await prepare(inspector, id, { "PX-HOOD": { clean: "no" } });
	await sign(inspector, id);
	const [part] = (await inspector.get(`/inspections/${id}/next`)).next_of_parts;
	assert.deepEqual([part.cleans_first, part.gets_ticket, part.conclusion], [true, false, "clean_first"]);
	assert.match(await html(`/inspections/${id}/next`), /Cleaning first: dirt hides damage/);
});

test("an inspection reads as the form filled in", async () => {
	const id = await begin(inspector, "advanced", "PX-GLOVES", "PX-HELMET");
	await answer(inspector, id);
	await sign(inspector, id);
	const doc = await inspector.get(`/inspections/${id}`), page = await html(`/inspections/${id}`);
	const asked = doc.parts.reduce((sum, part) => sum + part.asked, 0);
	assert.equal(doc.parts.flatMap((part) => part.paper).flatMap((group) => group.points).filter((point) => point.is_sound).length, asked);
	assert.equal(count(page, "☒"), asked);
	assert.match(plain(page), /Clean: yes\..*Signed .* by Ines Okafor, badge 2001.*signature/);
});

test("a blank form has every check point, the words for what is found and where, and no answer", async () => {
	const id = await begin(inspector, "advanced", "SX-HELMET"), component = await idOf(inspector, "SX-HELMET");
	const asked = (await inspector.get(`/inspections/${id}`)).parts[0].paper.flatMap((group) => group.points).map((point) => point.code);
	const blank = (await inspector.get(`/inspections/blank?component=${component}`)).parts[0], points = blank.paper.flatMap((group) => group.points);
	assert.deepEqual(points.map((point) => point.code), asked);
	assert.ok(points.every((point) => point.defects && !point.is_sound && !point.is_finding && !point.is_not_applicable));
	assert.match(blank.zones, /Crown/);
	const page = await html(`/inspections/blank?component=${component}`);
	assert.equal(count(page, "☒"), 0);
	assert.match(plain(page), /entered afterwards as an ordinary inspection.*SX-HELMET.*Notes.*Inspected by.*badge.*date.*signature/);
	const ensemble = (await inspector.get("/ensembles")).rows.find((one) => one.code === "SX-1").id;
	assert.deepEqual((await inspector.get(`/inspections/blank?ensemble=${ensemble}`)).parts.map((part) => part.tag), (await inspector.get(`/ensembles/${ensemble}`)).parts.map((part) => part.tag));
	const kinds = (await inspector.get("/inspections/blank?hazard=proximity&kind=routine")).parts;
	assert.ok(kinds.length >= 12 && kinds.every((part) => part.tag === null));
	assert.equal((await inspector.get("/inspections/blank?part=hood")).parts.length, 1);
	for (const [query, status] of [["kind=monthly", 422], ["hazard=none", 422], ["part=scarf", 404], ["component=99999", 404], ["ensemble=99999", 404]])
		assert.equal((await department.json(`/inspections/blank?${query}`, { token: inspector.token })).status, status, query);
	for (const path of ["/inspections", `/ensembles/${ensemble}`, `/components/${component}`]) assert.match(await html(path), /href="\/inspections\/blank\?/);
});

test("on paper of either size nothing is cut off, and each part of a blank form begins its own sheet", async () => {
	const page = await (await (await browser()).newContext({ javaScriptEnabled: false })).newPage();
	page.setDefaultTimeout(120000);
	await signIn(page, department, "2001");
	await page.emulateMedia({ media: "print" });
	// A4 and Letter at 96 px an inch, less margins of half an inch.
	for (const [name, width] of [["A4", 794 - 96], ["Letter", 816 - 96]]) {
		await page.setViewportSize({ width, height: 1000 });
		await page.goto(department.url + "/inspections/blank?hazard=structural");
		const wide = await page.evaluate(() => [...document.querySelectorAll("main *")].filter((one) => one.getBoundingClientRect().right > innerWidth + 1).map((one) => one.outerHTML.slice(0, 80)));
		assert.deepEqual(wide, [], name);
		assert.equal(await page.locator("header.top, .tools").filter({ visible: true }).count(), 0, name);
		const parts = await page.locator(".paper").count(), sheets = (await page.pdf({ format: name, margin: { top: ".5in", bottom: ".5in", left: ".5in", right: ".5in" } })).toString("latin1").match(/\/Type\s*\/Page\b/g).length;
		assert.ok(sheets >= parts, `${name}: ${sheets} sheets of ${parts} parts`);
		console.log(`${name}: ${sheets} sheets for ${parts} parts`);
	}
});
