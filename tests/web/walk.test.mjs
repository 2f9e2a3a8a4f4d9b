// The whole way, as the inspector walks it on the tablet: scan, inspect a whole
// proximity ensemble, three findings, ticket, return, return inspection, service.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { press, sayYes } from "./form-page.mjs";
import { Department, browser, run, signIn } from "./harness.mjs";

// What is found on which part: check point and defect by the handbook's codes.
const findings = {
	"PX-COAT-SHELL": { point: "aluminized", defect: "burnt" },
	"PX-FACESHIELD": { point: "reflective", defect: "scratched" },
	"PX-TROUSER-SHELL": { point: "seams", defect: "seam_open", place: "left outer leg seam, 12 cm above the cuff" },
};

/** Answers everything on the page that has no answer yet; sound, but for what is found. */
async function answerGroup(page, tag, found, state) {
	for (const section of await page.$$("main form section.card")) {
		if (await section.$("input:checked")) continue;
		const sound = await section.$("input[value=sound]");
		const isFound = findings[tag]?.point === (await sound.getAttribute("name"));
		await (isFound ? await section.$("input[value=finding]") : sound).check();
		if (isFound) found.add(tag);
		state.taps++;
	}
	await press(page);
	state.taps++;
}

async function writeFinding(page, tag, state) {
	const wanted = findings[tag];
	await page.click(`ul.picks a[href$="defect=${wanted.defect}"]`);
	await page.waitForSelector("#f-zone-pick");
	await page.selectOption("#f-zone-pick", { index: 1 });
	const zone = await page.textContent("#f-zone-pick option:checked");
	if (/front or back/.test(zone)) await page.check("input[name=face][value=front]");
	if (/outside or inside/.test(zone)) await page.check("input[name=side][value=outside]");
	// How bad it is, nobody has said before the inspector does.
	assert.equal(await page.$("input[name=severity]:checked"), null);
	await page.check("input[name=severity][value=major]");
	const outcome = await page.$("input[name=outcome]");
	if (outcome) await outcome.check();
	state.taps += 6;
	if (wanted.place) {
		// A seam without its exact place is refused, and nothing typed is lost.
		await page.fill("#f-note", "Pulled by hand along the whole seam.");
		await press(page);
		await page.waitForSelector(".error-summary");
		assert.match(await page.textContent(".error-summary"), /exact spot on the seam/);
		assert.equal(await page.inputValue("#f-note"), "Pulled by hand along the whole seam.");
		assert.notEqual(await page.inputValue("#f-zone-pick"), "");
		await page.fill("#f-place", wanted.place);
	}
	await press(page);
	state.taps++;
}

for (const scripts of [false, true]) {
	describe(`the whole way with scripts ${scripts ? "on" : "off"}`, () => {
		let department, chrome, page;
		before(async () => {
			department = await new Department().fill().start();
			chrome = await browser();
			const context = await chrome.newContext({ javaScriptEnabled: scripts, viewport: { width: 800, height: 1280 } });
			page = await context.newPage();
			page.setDefaultTimeout(120000); // a loaded machine is no fault of the page
			page.on("console", (message) => { if (message.type() === "error" && !/Failed to load resource/.test(message.text())) throw new Error(message.text()); });
		});
		after(async () => {
			await chrome.close();
			await department.stop();
			department.remove();
		});

		test("from a scanned tag to service again", async () => {
			const state = { taps: 0 };
			await signIn(page, department, "2001");
			await page.fill("#scan", "PX-COAT-SHELL");
			await page.press("#scan", "Enter");
			await page.waitForURL(/\/components\/\d+$/);
			await page.click("text=Inspect the whole ensemble");
			await page.check("input[value=advanced]");
			await page.click("main form button[type=submit]");
			await page.waitForURL(/\/inspections\/\d+\/preparation$/);
			const inspection = new URL(page.url()).pathname.replace("/preparation", "");
			await sayYes(page);

			const found = new Set();
			for (let step = 0; step < 200 && !page.url().endsWith("/review"); step++) {
				const tag = (await page.innerText("main")).match(/PX-[A-Z-]+/)[0];
				if (new URL(page.url()).pathname.endsWith("/findings")) await writeFinding(page, tag, state);
				else await answerGroup(page, tag, found, state);
			}
			assert.deepEqual([...found].sort(), Object.keys(findings).sort());
			console.log(`taps after the scan with three findings: ${state.taps}`);

			const review = await page.textContent("main");
			assert.match(review, /3 in the way of service/);
			assert.match(review, /Coat liner/);
			assert.equal(await page.locator("text=Becomes due because of it").count(), 1);
			await page.check("input[name=confirmed][value=yes]");
			await press(page);
			await page.waitForURL((url) => url.pathname === `${inspection}/next`);
			await page.goto(department.url + inspection);
			assert.match(await page.textContent("main"), /signed/);

			await page.goto(department.url + "/search?q=PX-COAT-LINER");
			assert.match(await page.textContent("main"), /Awaiting inspection|Complete liner inspection/);
			await page.goto(department.url + "/readiness");
			assert.match(await page.textContent("main"), /0 of 1|not ready/i);

			await page.goto(department.url + "/dispatches/new");
			for (const box of await page.$$("input[name=finding]")) await box.check();
			await page.selectOption("#f-provider", { label: "Remend Works" });
			await press(page);
			await page.waitForURL(/\/dispatches\/\d+$/);
			const ticket = new URL(page.url()).pathname;
			await page.click("text=It was sent to the provider");
			await page.waitForSelector("text=It came back");
			await page.goto(department.url + ticket + "/ticket");
			assert.match(await page.textContent("main"), /left outer leg seam, 12 cm above the cuff/);
			assert.equal(await page.locator("svg.qr").count(), 1);

			await page.goto(department.url + ticket + "/return");
			for (const section of await page.$$("main form section.card")) {
				const shield = /Faceshield/.test(await section.textContent());
				await (await section.$("select[name^=result]")).selectOption(shield ? "replaced" : "repaired");
				if (!shield) continue;
				await (await section.$("input[name^=new_tag]")).fill("PX-FACESHIELD-2");
				await (await section.$("input[name^=new_made]")).fill("2026-03");
				await (await section.$("input[name^=new_serial]")).fill("SN-2026-77");
			}
			await press(page);
			await page.waitForURL((url) => url.pathname === ticket);

			for (const tag of ["PX-COAT-SHELL", "PX-TROUSER-SHELL", "PX-FACESHIELD-2"]) await inspect(tag, "return");
			await inspect("PX-COAT-LINER", "liner");
			await inspect("PX-DRD", "advanced");
			await page.goto(department.url + "/search?q=PX-COAT-SHELL");
			assert.match(await page.textContent(".lead"), /· in service ·/);
			await page.goto(department.url + "/readiness");
			assert.match(await page.textContent(".figures"), /2 of 2 ready/);
			assert.match(run(["verify", "--data", department.data]), /holds/);
		});

		async function inspect(tag, kind) {
			await page.goto(department.url + "/search?q=" + tag);
			const id = new URL(page.url()).pathname.split("/").pop();
			await page.goto(`${department.url}/inspections/new?component=${id}&kind=${kind}`);
			await page.check(`input[value=${kind}]`);
			await page.click("main form button[type=submit]");
			await page.waitForURL(/\/inspections\/\d+\/preparation$/);
			await sayYes(page);
			for (let step = 0; step < 30 && !page.url().endsWith("/review"); step++) {
				for (const fieldset of await page.$$("main form fieldset")) {
					await (await fieldset.$("input[value=sound]")).check();
				}
				await press(page);
			}
			await page.check("input[name=confirmed][value=yes]");
			await press(page);
			await page.waitForURL(/\/inspections\/\d+\/next$/);
		}
	});
}
