// The tag that hangs on gear which may not serve.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import jsQR from "jsqr";
import { PNG } from "pngjs";
import { Department, browser, run, signIn } from "./harness.mjs";
import { JsonClient, answer, begin, earlier, idOf, sign } from "./inspecting.mjs";

let department, client, chrome, page, inspection;
before(async () => {
	department = new Department().fill();
	run(["setting", "--data", department.data, "--name", "officer_email", "--value", "officer@example.org"]);
	const token = department.token("2001");
	await department.start();
	client = new JsonClient(department, token);
	inspection = await begin(client, "advanced", "PX-FACESHIELD", "PX-HELMET");
	await answer(client, inspection, { "PX-FACESHIELD": { check_point: "reflective", defect: "scratched", outcome: "replace", zone: "centre" } });
	await sign(client, inspection);
	chrome = await browser();
	page = await (await chrome.newContext({ viewport: { width: 800, height: 1100 }, deviceScaleFactor: 2 })).newPage();
	await signIn(page, department, "2001");
});
after(async () => {
	await chrome.close();
	await department.finish();
});
const tagOf = async (tag) => `/components/${await idOf(client, tag)}/out-of-service-tag`;

test("after signing, from the inspection and from the part: what, why, since when, whom to ask", async () => {
	await page.goto(`${department.url}/inspections/${inspection}`);
	const links = page.getByRole("link", { name: "Out of service tag" });
	assert.equal(await links.count(), 1, "only for the part that is out");
	await links.click();
	const text = await page.innerText(".hang-tag");
	for (const words of [/^OUT OF SERVICE\n/, /Do not use/, /PX-FACESHIELD/, /Faceshield, size M/, /Ensemble PX-1/, /ST1 Airfield/, /Ines Okafor/,
		new RegExp(`Since ${earlier(0)}`), /scratched/i, /officer@example\.org/, /Brackwater Fire Department/]) assert.match(text, words);
	const png = PNG.sync.read(await page.locator(".hang-tag svg.qr").screenshot());
	assert.equal(jsQR(new Uint8ClampedArray(png.data), png.width, png.height).data, "PX-FACESHIELD");
	await page.goto(`${department.url}/components/${await idOf(client, "PX-FACESHIELD")}`);
	assert.equal(await page.getByRole("link", { name: "Out of service tag" }).count(), 1);
	await page.goto(`${department.url}/components/${await idOf(client, "PX-HELMET")}`);
	assert.equal(await page.getByRole("link", { name: "Out of service tag" }).count(), 0);
});

test("only the tag is printed, on one page, with words that are seen from afar", async () => {
	await page.goto(department.url + await tagOf("PX-FACESHIELD"));
	assert.equal((await page.pdf({ format: "A4" })).toString("latin1").match(/\/Type \/Page\b/g).length, 1);
	await page.emulateMedia({ media: "print" });
	const shown = await page.evaluate(() => [...document.querySelectorAll("header, footer, main > *")].filter((one) => one.checkVisibility()).map((one) => one.className));
	assert.deepEqual(shown, ["hang-tag"]);
	assert.ok(await page.evaluate(() => parseFloat(getComputedStyle(document.querySelector(".hang-tag h2")).fontSize)) >= 60);
	await page.emulateMedia({ media: "screen" });
});

test("held: what stands on it is that, since when, by whom, and nothing else", async () => {
	const held = await idOf(client, "PX-FACESHIELD");
	await client.post("/holds", { component: [held], incident: "2026-0117, hangar 2", placed_on: earlier(2), kept_where: "Evidence locker", container: "paper" });
	const doc = await client.get(await tagOf("PX-FACESHIELD"));
	assert.deepEqual([doc.is_held, doc.since, doc.reasons.length, doc.reasons[0].ask], [true, earlier(2), 1, "Ines Okafor"]);
	await page.goto(department.url + await tagOf("PX-FACESHIELD"));
	const text = await page.innerText(".hang-tag");
	assert.match(text, /^HELD: SPECIAL INCIDENT\n/);
	assert.match(text, /Do not touch, clean, dry, repair or inspect/);
	assert.match(text, /2026-0117, hangar 2/);
	assert.doesNotMatch(text, /scratched/i);
	await page.goto(`${department.url}/components/${held}`);
	assert.equal(await page.getByRole("link", { name: "Out of service tag" }).count(), 1);
});

test("exposed: each reason stands with what is known of it; what serves has no tag", async () => {
	const hood = await idOf(client, "PX-HOOD");
	await client.post("/exposures", { component: [hood], exposed_on: earlier(3), cause: "combustion" });
	const { reasons, since } = await client.get(await tagOf("PX-HOOD"));
	assert.deepEqual([since, reasons[0].since, reasons[0].ask], [earlier(3), earlier(3), "Ines Okafor"]);
	assert.equal((await client.send(await tagOf("PX-HELMET"), undefined, null, 409)).doc.detail, "PX-HELMET is not out of service.");
	await client.send("/components/99999/out-of-service-tag", undefined, null, 404);
});
