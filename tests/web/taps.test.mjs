// The counted walk: what an inspection of a whole ensemble costs in taps, on an enrolled tablet,
// from the scanned tag to the signature. The limits are this project's own, no source.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { Department, browser, componentColumns, ensembleRows } from "./harness.mjs";
import { JsonClient } from "./inspecting.mjs";
import { enrolled, pin } from "./tablet.mjs";

const limits = { nothing: 60, finding: 8 };
let department, inspector, page, taps;

before(async () => {
	department = new Department().fill();
	// Of the structural ensembles here nine parts are there: older coats, without a drag rescue device.
	const rows = ["NA", "NB"].flatMap((prefix) => ensembleRows(prefix, "structural", `${prefix}-1`, "2002").filter((row) => !/-DRD,/.test(row)));
	assert.equal(department.import("components", [componentColumns, ...rows].join("\r\n") + "\r\n").code, 0);
	department.pin("2001", pin);
	inspector = new JsonClient(department, department.token("2001"));
	const officer = department.token("2003");
	await department.start();
	const { id } = (await inspector.get("/stations")).rows.find((one) => one.code === "ST1"), device = await enrolled(department, officer, id, "Bay 1");
	const context = await (await browser()).newContext({ hasTouch: true, viewport: { width: 800, height: 1280 } });
	await context.addCookies([...device.cookies].map(([name, value]) => ({ name, value, url: department.url })));
	page = await context.newPage();
	page.setDefaultTimeout(120000); // a loaded machine is no fault of the page
	await page.goto(department.url + "/");
	await page.click(".people >> text=Okafor");
	await page.fill("#f-pin", pin);
	await page.click("main form button[type=submit]");
	await page.waitForSelector("#scan");
});
after(() => department.finish());

/** One tap, on a target as large as a gloved finger needs. */
async function tap(selector) {
	const target = page.locator(selector).first();
	await target.scrollIntoViewIfNeeded();
	const box = await target.boundingBox();
	assert.ok(box, `${selector} on ${page.url()}`);
	assert.ok(box.width >= 48 && box.height >= 48, `${selector}: ${box.width} by ${box.height} px`);
	await page.touchscreen.tap(box.x + box.width / 2, box.y + box.height / 2);
	taps++;
}
const tapThrough = async (selector) => {
	const left = page.url();
	await tap(selector);
	await page.waitForURL((url) => url.href !== left);
};

/** What was found, answered before the rest of its group is. */
async function find(found) {
	await tap(`label[for="f-${found.point}-finding"]`);
	return async () => {
		assert.match(page.url(), /\/findings\?point=/);
		await tapThrough(`.picks a[href$="defect=${found.defect}"]`);
		// The place in the drawing says front or back and outside or inside too.
		await tap(`.figure [href$="#front.${found.zone}"]`);
		assert.equal(await page.inputValue("#f-zone-pick"), found.zone);
		for (const name of ["face", "side"]) {
			const asked = page.locator(`input[name=${name}]`);
			if ((await asked.first().isVisible()) && !(await page.locator(`input[name=${name}]:checked`).count())) await tap(`label:has(input[name=${name}])`);
		}
		await tap("label:has(input[name=severity])");
		if (!(await page.locator("input[name=outcome]:checked").count())) await tap("label:has(input[name=outcome])");
		await tapThrough("main form:not([data-photos]) .actions button[type=submit]");
	};
}

async function inspect(tag, found) {
	taps = 0;
	await page.goto(department.url + "/");
	await page.fill("#scan", tag);
	await page.press("#scan", "Enter");
	await page.waitForURL(/\/components\/\d+$/);
	await tapThrough("text=Inspect the whole ensemble");
	await tapThrough("main form button[type=submit]");
	const sections = await page.locator("main form section.card").count();
	for (let i = 1; i <= sections; i++) {
		const section = `main form section.card:nth-of-type(${i})`;
		assert.equal(await page.locator(`${section} input:checked`).count(), 0, "nobody answered before the inspector");
		await tap(`${section} label.choice`);
	}
	await tapThrough("main form:not([data-photos]) .actions button[type=submit]");
	let pages = 0;
	while (!page.url().endsWith("/review")) {
		assert.equal(await page.locator("main form input:checked").count(), 0, "nobody answered before the inspector");
		assert.match(await page.locator(".where > summary").innerText(), /^[A-Z][a-z ()]+: group \d of \d · part \d of 9$/);
		const isHere = found && (await page.locator(`#f-${found.point}-finding`).count()) && page.url().includes("/parts/") && (await page.locator("h1").innerText()).endsWith(found.tag);
		const writeDown = isHere ? await find(found) : null;
		await tapThrough("button[name=all_sound]");
		await writeDown?.();
		pages++;
	}
	await tap("label:has(input[name=confirmed][value=yes])");
	await tap("#f-pin");
	await page.keyboard.type(pin);
	await tapThrough("main form:not([data-photos]) .actions button[type=submit]");
	const id = Number(page.url().match(/inspections\/(\d+)/)[1]), doc = await inspector.get(`/inspections/${id}`);
	assert.equal(doc.inspection.state, "signed");
	assert.equal(doc.parts.length, 9);
	// Every check point of the lists has its answer.
	assert.ok(doc.parts.every((part) => part.asked === part.answered && part.asked > 0));
	console.log(`${tag}${found ? ", one finding" : ""}: ${pages} pages of check points, ${doc.parts.reduce((sum, part) => sum + part.asked, 0)} points; ` +
		`${taps} taps with one for the PIN's field, ${taps + pin.length} with a tap for each of its digits`);
	return { doc, taps };
}

test("nine parts, nothing found; then nine parts with one finding", async () => {
	const clean = await inspect("NA-COAT-SHELL");
	assert.ok(clean.doc.parts.every((part) => part.conclusion === "return_to_service"));
	assert.ok(clean.taps + pin.length <= limits.nothing, `${clean.taps} taps and ${pin.length} digits`);
	const found = await inspect("NB-COAT-SHELL", { tag: "NB-COAT-SHELL", point: "fabric", defect: "tear", zone: "left_sleeve" });
	assert.equal(found.doc.findings.length, 1);
	assert.ok(found.taps - clean.taps <= limits.finding, `${found.taps - clean.taps} taps more`);
});
