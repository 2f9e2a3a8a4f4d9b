// Labels on sheets, printed by a real browser and read back by decoders of other people's.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { BinaryBitmap, HybridBinarizer, MultiFormatReader, RGBLuminanceSource } from "@zxing/library";
import jsQR from "jsqr";
import { PNG } from "pngjs";
import { Department, browser, componentColumns, signIn } from "./harness.mjs";
import { JsonClient, componentOf, idOf } from "./inspecting.mjs";

const longest = "PX-" + "0123456789".repeat(3) + "-WXYZ-7";
let department, client, chrome, page;

before(async () => {
	department = new Department().fill();
	const more = [componentColumns, `${longest},hood,proximity,ST1,,SN-L,Harrow and Pell,D1,XXL,2024-02,2026-01-10,no,2001,2026-01-10`,
		"SPARE-GLOVES,gloves,structural,ST1,,SN-S,Harrow and Pell,G1,L,2024-02,2026-01-10,no,,"];
	assert.equal(department.import("components", more.join("\r\n")).code, 0);
	const token = department.token("2001");
	await department.start();
	client = new JsonClient(department, token);
	chrome = await browser();
	// As an office printer sees it: 300 dots an inch.
	page = await (await chrome.newContext({ viewport: { width: 1000, height: 1300 }, deviceScaleFactor: 300 / 96 })).newPage();
	await signIn(page, department, "2001");
});
after(async () => {
	await chrome.close();
	await department.finish();
});

const readQr = (png) => jsQR(new Uint8ClampedArray(png.data), png.width, png.height)?.data;
function readBars(png) {
	const grey = Uint8ClampedArray.from({ length: png.width * png.height }, (_, i) => png.data[4 * i]);
	return new MultiFormatReader().decode(new BinaryBitmap(new HybridBinarizer(new RGBLuminanceSource(grey, png.width, png.height)))).getText();
}
const pagesOf = (pdf) => [...pdf.toString("latin1").matchAll(/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)].map(([, w, h]) => [w, h].map((points) => Math.round(points * 25.4 / 72)));

/** What each label of the page was read as, by cutting its place out of the picture of the sheet. */
async function readBack(path) {
	const { sheets } = await client.get(path), read = [];
	await page.goto(department.url + path);
	for (const [i, sheet] of sheets.entries()) {
		const frame = await page.locator("svg.sheet").nth(i).boundingBox();
		assert.ok(Math.abs(frame.width - sheet.width / 100 * 96 / 25.4) < 0.5, "drawn as large as it is");
		for (const { tag, symbol } of sheet.labels) {
			const px = (hundredths) => hundredths / 100 * 96 / 25.4;
			const clip = { x: frame.x + px(symbol.x), y: frame.y + px(symbol.y), width: px(symbol.width), height: px(symbol.height) };
			const png = PNG.sync.read(await page.screenshot({ clip, fullPage: true }));
			read.push([tag, symbol.modules_high === 1 ? readBars(png) : readQr(png)]);
		}
	}
	return read;
}

test("every label of a sheet is read as its tag, at every size and in both codes", async () => {
	for (const sheet of ["sheet=a4_3x8", "sheet=a4_2x7", "sheet=letter_3x10", "sheet=single&width=30&height=15"])
		for (const symbol of ["qr", "code_128"]) {
			const read = await readBack(`/labels?ensemble=1&${sheet}&symbol=${symbol}`);
			assert.equal(read.length, 12);
			for (const [tag, text] of read) assert.equal(text, tag, `${sheet} ${symbol}`);
		}
});

test("the longest tag: bars where they are wide enough, a QR code instead where not, and it is said", async () => {
	const id = await idOf(client, longest);
	for (const [sheet, instead] of [["single&width=120", 0], ["a4_3x8", 1]]) {
		const path = `/labels?component=${id}&symbol=code_128&sheet=${sheet}`;
		assert.equal((await client.get(path)).instead, instead);
		assert.deepEqual(await readBack(path), [[longest, longest]]);
		assert.equal(await page.locator("main .notice").count(), instead);
	}
});

test("a sheet prints on its paper and nothing else does; begun sheets go on where they stand", async () => {
	for (const [query, papers] of [["sheet=a4_3x8", [[210, 297]]], ["sheet=letter_3x10", [[216, 279]]],
		["sheet=a4_3x8&skip=13", [[210, 297], [210, 297]]], ["sheet=a4_2x7&rows=3&margin_top=20", [[210, 297], [210, 297]]]]) {
		const response = await page.goto(`${department.url}/labels?ensemble=1&${query}`);
		assert.deepEqual(pagesOf(await page.pdf({ preferCSSPageSize: true })), papers, query);
		assert.ok((await response.text()).length < 100000);
		assert.doesNotMatch(await response.text(), /style=|<style|onclick/);
	}
	await page.emulateMedia({ media: "print" });
	const shown = await page.evaluate(() => [...document.body.querySelectorAll("*")].filter((one) => one.checkVisibility() && !one.closest("svg")).map((one) => one.className || one.tagName));
	assert.deepEqual(shown, ["MAIN", "sheets"]);
	await page.emulateMedia({ media: "screen" });
	const begun = (await client.get("/labels?ensemble=1&skip=13")).sheets;
	assert.deepEqual(begun.map((sheet) => sheet.labels.length), [11, 1]);
	const [first] = (await client.get("/labels?ensemble=1")).sheets[0].labels;
	assert.equal(begun[0].labels[0].symbol.x - first.symbol.x, 6600, "one column on");
	assert.equal(begun[0].labels[0].symbol.y - first.symbol.y, 4 * 3390, "four rows down");
});

test("a full sheet of 24 is small", async () => {
	const answer = await department.json("/labels?size=24", { token: client.token, headers: { accept: "text/html" } });
	assert.equal(answer.text.match(/<svg x=/g).length, 24);
	assert.ok(answer.text.length < 100000, String(answer.text.length));
});

test("the same selection as the list of gear, in its order; of a member what was issued", async () => {
	const list = await client.get("/components?hazard=proximity&q=harrow&sort=kind");
	assert.match(list.labels_url, /^\/labels\?q=harrow&hazard=proximity&sort=kind$/);
	const tags = (doc) => doc.sheets.flatMap((sheet) => sheet.labels.map((label) => label.tag));
	assert.deepEqual(tags(await client.get(list.labels_url)), list.rows.map((row) => row.tag));
	const holder = (await componentOf(client, "PX-HELMET")).holder;
	assert.equal(tags(await client.get(`/labels?member=${holder}`)).length, 13);
	const loose = (await client.get(`/labels?component=${await idOf(client, longest)}`)).sheets[0].labels[0];
	assert.equal(loose.texts.filter((one) => one.is_tag).map((one) => one.text).join(""), longest, "in two rows");
	assert.deepEqual(loose.texts.filter((one) => !one.is_tag).map((one) => one.text), ["Hood", "Size XXL", "Issued to Ines Okafor"]);
	const paged = await client.get("/labels?size=10&sheet=a4_2x7&skip=2");
	assert.match(paged.next, /page=2&sheet=a4_2x7&skip=2/);
});

test("the way there: from the part, the ensemble, the member and the list; what is wrong stays in the form", async () => {
	const id = await idOf(client, "PX-HELMET"), part = (await client.get(`/components/${id}`)).component;
	for (const [path, words] of [[`/components/${id}`, "Print its label"], [`/ensembles/${part.ensemble_id}`, "Print its labels"],
		[`/members/${part.holder}`, "Labels of the gear"], ["/components?kind=hood", "Labels of all 3"]]) {
		await page.goto(department.url + path);
		await page.getByRole("link", { name: words, exact: true }).click();
		assert.ok(await page.locator("svg.sheet").count() > 0, path);
	}
	await page.selectOption("#f-sheet", "a4_2x7");
	await page.fill("#f-skip", "14");
	await page.click("main form button");
	assert.match(await page.textContent("#errors"), /only 14 labels/);
	assert.equal(await page.inputValue("#f-skip"), "14");
	await page.fill("#f-skip", "13");
	await page.click("main form button");
	assert.equal(await page.locator("svg.sheet").count(), 2);
	assert.match(page.url(), /kind=hood/);
	for (const wrong of ["columns=11", "rows=0", "width=abc", "columns=9", "sheet=a5", "skip=-1"])
		assert.equal((await department.json(`/labels?${wrong}`, { token: client.token })).status, 422, wrong);
});
