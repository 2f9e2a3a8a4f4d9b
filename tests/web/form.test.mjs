// The inspection's form by keyboard alone, without scripts, and on every screen there is.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { browser, signIn } from "./harness.mjs";
import { answerPart, begin, idOf, prepare, staffed } from "./inspecting.mjs";

let department, inspector, chrome;
before(async () => {
	({ department, inspector } = await staffed());
	chrome = await browser();
});
after(() => department.finish());

async function open(options) {
	const page = await (await chrome.newContext({ reducedMotion: "reduce", ...options })).newPage();
	page.setDefaultTimeout(120000); // a loaded machine is no fault of the page
	await signIn(page, department, "2001");
	return page;
}

/** By Tab alone to what matches; whatever has the focus on the way is in sight. */
async function reach(page, selector) {
	for (let i = 0; i < 150; i++) {
		await page.keyboard.press("Tab");
		const focus = await page.evaluate((wanted) => {
			const one = document.activeElement, box = one.getBoundingClientRect();
			const over = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
			return { matches: one.matches(wanted), what: one.outerHTML.slice(0, 120), inSight: one.closest("label, summary, a, button, input, select, textarea, .scroll")?.contains(over) || one.contains(over) || one.closest("label")?.contains(over) };
		}, selector);
		if (!focus.matches) continue;
		assert.ok(focus.inSight, `hidden while it has the focus: ${focus.what}`);
		return;
	}
	assert.fail(`${selector} is not reached on ${page.url()}`);
}
const go = async (page, selector) => {
	await reach(page, selector);
	await Promise.all([page.waitForEvent("load"), page.keyboard.press("Enter")]);
};

for (const javaScriptEnabled of [false, true])
	test(`a whole inspection by keyboard alone, scripts ${javaScriptEnabled ? "on" : "off"}`, async () => {
		const tag = javaScriptEnabled ? "SX-DRD" : "PX-DRD", page = await open({ javaScriptEnabled, viewport: { width: 800, height: 600 } });
		await page.goto(`${department.url}/components/${await idOf(inspector, tag)}`);
		await go(page, 'a[href*="component="][href*="kind=advanced"]');
		await go(page, "main button[type=submit]");
		await reach(page, 'input[type=checkbox][name^="all_yes"]');
		await page.keyboard.press("Space");
		await go(page, "main form:not([data-photos]) button[type=submit]");
		// One group point by point, the others together; where one is can be opened.
		await reach(page, ".where > summary");
		await page.keyboard.press("Enter");
		await reach(page, ".where a[aria-current=step]");
		const points = await page.locator("main fieldset:has(input[value=sound])").count();
		for (let i = 0; i < points; i++) {
			await reach(page, `section:nth-of-type(${i + 1}) input[type=radio]`);
			await page.keyboard.press("Space");
		}
		await go(page, "main form:not([data-photos]) button[type=submit]:not([name])");
		while (!page.url().endsWith("/review")) await go(page, "button[name=all_sound]");
		await reach(page, "input[name=confirmed]");
		await page.keyboard.press("Space");
		await go(page, "main form:not([data-photos]) button[type=submit]");
		await page.waitForURL(/\/next$/);
		const id = Number(page.url().match(/inspections\/(\d+)/)[1]), { parts: [part], inspection } = await inspector.get(`/inspections/${id}`);
		assert.equal(inspection.state, "signed");
		assert.equal(part.conclusion, "return_to_service");
		const together = part.together.flatMap((one) => one.points).length;
		assert.equal(together + points, part.asked);
	});

test("every page of it fits each screen, upright and on its side, with targets for a gloved finger", async () => {
	const id = await begin(inspector, "advanced", "PX-COAT-SHELL", "PX-COAT-LINER"), found = { check_point: "aluminized", defect: "burnt", zone: "chest", outcome: "repair" };
	await prepare(inspector, id);
	await answerPart(inspector, id, await idOf(inspector, "PX-COAT-SHELL"), found);
	const part = `/inspections/${id}/parts/${await idOf(inspector, "PX-COAT-LINER")}`, { groups: [{ code }] } = await inspector.get(part);
	const paths = [`/inspections/${id}`, `/inspections/${id}/preparation`, part, `${part}?group=${code}`, `/inspections/${id}/review`, "/inspections/blank?part=coat_shell"];
	for (const [width, height] of [[360, 740], [740, 360], [800, 1280], [1280, 800], [1280, 1024]]) {
		const page = await open({ javaScriptEnabled: false, viewport: { width, height } });
		for (const path of paths) {
			await page.goto(department.url + path);
			const where = `${path} at ${width} by ${height}`;
			assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${where} scrolls sideways`);
			const small = await page.evaluate(() => [...document.querySelectorAll("main button, main a.button, main label.choice, main summary, main select, .where a")]
				.filter((one) => one.checkVisibility({ contentVisibilityAuto: true })).map((one) => [one.getBoundingClientRect(), one.outerHTML.slice(0, 90)])
				.filter(([box]) => box.height < 47.5 || box.width < 47.5).map(([, html]) => html));
			assert.deepEqual(small, [], where);
			if (!(await page.locator(".where").count())) continue;
			// It stays in sight at the end of the page, and is small.
			await page.evaluate(() => scrollTo(0, document.documentElement.scrollHeight));
			const bar = await page.locator(".where > summary").boundingBox();
			assert.ok(bar.y >= -1 && bar.y < 2 || (await page.evaluate(() => document.documentElement.scrollHeight <= innerHeight + 200)), `${where}: ${bar.y}`);
			assert.ok(bar.height <= 80, `${where}: ${bar.height} px high`);
		}
		await page.context().close();
	}
});
