// Finding by scan: a scanner that types, the camera, and what is offered when a tag is nowhere.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, describe, test } from "node:test";
import { join } from "node:path";
import { Department, browser, root, signIn } from "./harness.mjs";

let department, token, chrome;
before(async () => {
	department = new Department().fill();
	token = department.token("2001");
	await department.start();
	chrome = await browser(["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream"]);
});
after(async () => {
	await chrome.close();
	await department.finish();
});
async function signedIn(badge, options = {}, from = chrome) {
	const page = await (await from.newContext({ viewport: { width: 360, height: 740 }, ...options })).newPage();
	await signIn(page, department, badge);
	return page;
}
const search = async (q) => (await department.json(`/search?q=${encodeURIComponent(q)}`, { token })).doc;

describe("a scanner that types", () => {
	for (const javaScriptEnabled of [true, false])
		test(`on the start page, scripts ${javaScriptEnabled ? "on" : "off"}: straight to the part`, async () => {
			const page = await signedIn("2001", { javaScriptEnabled });
			await page.goto(department.url + "/");
			await page.locator("#scan:focus").waitFor(); // the browser gives the focus a moment after the page
			await page.keyboard.type("PX-HELMET\n");
			await page.waitForURL(/\/components\/\d+$/);
			assert.equal(await page.textContent("h1"), "PX-HELMET");
		});

	test("wherever the focus is outside of inputs", async () => {
		const page = await signedIn("2001");
		for (const [path, focused] of [["/", "main a"], ["/", ".brand"], ["/components", "main"], ["/stations/1", "summary"]]) {
			await page.goto(department.url + path);
			await page.focus(focused);
			await page.keyboard.type("PX-HOOD\n");
			await page.waitForURL(/\/components\/\d+$/);
			assert.equal(await page.textContent("h1"), "PX-HOOD", `${path} ${focused}`);
		}
		await page.goto(department.url + "/components");
		await page.focus("#l-q");
		await page.keyboard.type("PX");
		assert.equal(await page.inputValue("#l-q"), "PX", "an input keeps what is typed into it");
	});
});

describe("a tag that is nowhere", () => {
	test("those that look like it, the most alike first", async () => {
		for (const [typed, first] of [["PX-HE1MET", "PX-HELMET"], ["px-h00d", "PX-HOOD"], ["SX-GLVOES", "SX-GLOVES"], ["X-FOOTWEAR", "PX-FOOTWEAR"]]) {
			const doc = await search(typed);
			assert.equal(doc.total, 0);
			assert.equal(doc.similar[0]?.tag, first, typed);
			assert.ok(doc.similar.length <= 6);
		}
		assert.deepEqual((await search("QQQQ-9999")).similar, []);
		assert.deepEqual((await search("PX HE1MET")).similar, [], "words are no tag");
		assert.deepEqual((await search("PX-HEL")).similar, [], "what is found is enough");
	});

	test("a new part with that tag for those who may, without scripts too", async () => {
		const officer = await signedIn("2003", { javaScriptEnabled: false });
		await officer.goto(`${department.url}/search?q=${encodeURIComponent("NEW+&7")}`);
		await officer.getByRole("button", { name: "Record a new part with this tag" }).click();
		assert.equal(await officer.inputValue("#f-tag"), "NEW+&7");
		const member = await signedIn("2002");
		await member.goto(`${department.url}/search?q=PX-HE1MET`);
		assert.equal(await member.getByRole("button", { name: /Record a new part/ }).count(), 0);
		await member.getByRole("link", { name: "PX-HELMET" }).click();
		assert.equal(await member.textContent("h1"), "PX-HELMET");
	});
});

describe("the camera", () => {
	// The real browser's camera, and in place of its detector (not every build has one) one that
	// sees a code in the picture so many pictures on.
	const detector = (after) => `
		globalThis.BarcodeDetector = class {
			static async getSupportedFormats() { return ["aztec", "code_128", "qr_code"]; }
			constructor({ formats }) { globalThis.asked = formats; globalThis.pictures = 0; }
			async detect(video) { return ++globalThis.pictures > ${after} && video.videoWidth > 0 ? [{ rawValue: " PX-HELMET\\n" }] : []; }
		};
		const real = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
		navigator.mediaDevices.getUserMedia = async (wish) => globalThis.stream = await real(wish);`;
	const offer = (page) => page.getByRole("button", { name: "Scan with the camera" });
	async function withDetector(after, from) {
		const page = await signedIn("2001", {}, from);
		await page.addInitScript(detector(after));
		await page.goto(department.url + "/");
		await offer(page).waitFor();
		return page;
	}

	test("it is offered only where the browser can read codes; the page may use it, others not", async () => {
		const page = await signedIn("2001");
		await page.addInitScript("delete globalThis.BarcodeDetector");
		const answer = await page.goto(department.url + "/");
		assert.match(answer.headers()["permissions-policy"], /camera=\(self\)/);
		await page.waitForLoadState("load");
		assert.equal(await offer(page).count(), 0);
		assert.ok(readFileSync(join(root, "static/scan.js")).length < 20000);
	});

	test("a code in the picture leads to the part", async () => {
		const page = await withDetector(3);
		await offer(page).click();
		await page.waitForURL(/\/components\/\d+$/);
		assert.equal(await page.textContent("h1"), "PX-HELMET");
	});

	test("it ends when it is stopped", async () => {
		const page = await withDetector(Infinity);
		await offer(page).click();
		await page.waitForFunction(() => globalThis.pictures > 2);
		assert.deepEqual(await page.evaluate("globalThis.asked"), ["qr_code", "code_128"]);
		assert.ok(await page.isVisible("video"));
		await page.getByRole("button", { name: "Stop the camera" }).click();
		assert.deepEqual(await page.evaluate("globalThis.stream.getTracks().map((track) => track.readyState)"), ["ended"]);
		assert.ok(!await page.isVisible("video"));
		assert.equal(await page.textContent(".scan [role=status]"), "");
	});

	test("what is in the way is said in words", async () => {
		const bare = await browser();
		const page = await withDetector(0, bare);
		await page.context().grantPermissions(["camera"]);
		await offer(page).click();
		await page.getByText("There is no camera on this device. Type the tag.").waitFor();
		await page.context().clearPermissions();
		await page.evaluate(() => { navigator.mediaDevices.getUserMedia = async () => { throw new DOMException("no", "NotAllowedError"); }; });
		await offer(page).click();
		await page.getByText("The camera is not allowed here.").waitFor();
		assert.ok(await offer(page).isEnabled());
		await bare.close();
	});
});
