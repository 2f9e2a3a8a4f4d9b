// A session ends while somebody types, and a tablet goes from hand to hand: what was typed
// is not lost, and is nobody else's.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { Database } from "./sqlite.mjs";
import { Department, browser, password, signIn } from "./harness.mjs";

let department, chrome;
before(async () => {
	department = await new Department().fill().start();
	chrome = await browser();
});
after(async () => {
	await chrome.close();
	await department.stop();
	department.remove();
});

/** By HTTP as a browser without scripts sends it. */
async function post(path, fields, { cookie, accept = "text/html" } = {}) {
	const answer = await fetch(department.url + path, { method: "POST", redirect: "manual",
		headers: { accept, "content-type": "application/x-www-form-urlencoded", referer: `${department.url}/stations/new`, ...(cookie ? { cookie } : {}) },
		body: new URLSearchParams(fields) });
	return { status: answer.status, location: answer.headers.get("location"), text: await answer.text(), cookie: answer.headers.get("set-cookie")?.split(";")[0] };
}
const session = async (badge) => {
	const answer = await post("/sign-in", { badge, password }, { accept: "application/json" });
	return { cookie: answer.cookie, token: JSON.parse(answer.text).form_token };
};
/** A change of the password, to the same, ends all of somebody's sessions. */
async function endSessions(badge) {
	const { cookie, token } = await session(badge);
	const answer = await post("/password", { _token: token, old_password: password, password, password_again: password }, { cookie });
	assert.equal(answer.status, 303, answer.text);
}
const stations = (code) => Database.rows(department.data, `SELECT name FROM station WHERE code = '${code}'`);
async function tablet(javaScriptEnabled) {
	const page = await (await chrome.newContext({ viewport: { width: 360, height: 740 }, javaScriptEnabled })).newPage();
	return page;
}
async function type(page, code, name) {
	await page.goto(department.url + "/stations/new");
	await page.fill("#f-code", code);
	await page.fill("#f-name", name);
}
const save = (page) => page.click("main form button[type=submit]");
async function signInHere(page, badge, word = password) {
	await page.fill("#f-badge", badge);
	await page.fill("#f-password", word);
	await Promise.all([page.waitForEvent("load"), page.click("main form button[type=submit]")]);
}

describe("a form sent after the session has ended", () => {
	for (const scripts of [false, true])
		test(`is sent after signing in again, ${scripts ? "with" : "without"} scripts`, async () => {
			const page = await tablet(scripts), code = scripts ? "AGAIN1" : "AGAIN0", name = `Æ & "both" <hands>`;
			await signIn(page, department, "2003");
			await type(page, code, name);
			await endSessions("2003");
			const [answer] = await Promise.all([page.waitForResponse((r) => r.request().method() === "POST"), save(page)]);
			assert.equal(answer.status(), 401);
			assert.match(await page.textContent("main"), /session has ended/);
			assert.deepEqual(stations(code), []);
			await signInHere(page, "2003", "not my password");
			await signInHere(page, "2003");
			assert.equal(await page.textContent("h1"), "Not sent yet");
			assert.ok((await page.textContent("main dl")).includes(name));
			assert.deepEqual(stations(code), []);
			await page.click("text=Send it now");
			await page.waitForURL(/\/stations\/\d+$/);
			assert.equal(stations(code)[0].name, name);
			if (scripts) assert.equal(await page.evaluate(() => localStorage.length), 0, "what was kept for it is not needed any more");
			await page.context().close();
		});
	test("is still on the device, at the form, for whoever goes back to it", async () => {
		const page = await tablet(true);
		await signIn(page, department, "2003");
		await type(page, "BACK1", "Back at the form");
		await endSessions("2003");
		await save(page);
		await page.waitForSelector("#errors");
		await signInHere(page, "2003");
		await page.click("text=Back to the form");
		await page.waitForURL("**/stations/new");
		assert.equal(await page.inputValue("#f-name"), "Back at the form");
		await save(page);
		await page.waitForURL(/\/stations\/\d+$/);
		assert.equal(stations("BACK1").length, 1);
		await page.context().close();
	});
	test("is not offered to another person, who signs in instead", async () => {
		const page = await tablet(false);
		await signIn(page, department, "2003");
		await type(page, "OTHER1", "Typed by another");
		await endSessions("2003");
		await save(page);
		await signInHere(page, "1001");
		assert.equal(new URL(page.url()).pathname, "/stations/new", "at the form's page");
		assert.ok(!(await page.content()).includes("Typed by another"));
		await page.context().close();
	});
	const fields = { _who: "2003", _token: "old-form-token", _key: "old-form-key", _version: "3", code: "X", name: "typed" };
	const dead = { cookie: "pegwarden_session=0000000000000000000000000000000000000000000000000000000000000000" };
	test("takes its version along, and neither its token nor its key", async () => {
		const answer = await post("/stations", fields, dead);
		assert.equal(answer.status, 401);
		assert.match(answer.text, /name="resend" value="_who=2003&amp;_version=3&amp;code=X&amp;name=typed"/);
		assert.ok(!answer.text.includes("old-form"));
		assert.match(answer.text, /name="next" value="\/stations\/new"/);
	});
	for (const [name, path, change, options] of [
		["with a password", "/password", { old_password: "secret words", password: "secret words" }, dead],
		["that came without the cookie, as from another site", "/stations", {}, {}],
		["that says nobody's badge", "/stations", { _who: "" }, dead],
		["with nothing typed", "/stations", { code: "", name: "" }, dead]])
		test(`${name}: nothing goes along, the form's page follows`, async () => {
			const answer = await post(path, { ...fields, ...change }, options);
			assert.equal(answer.status, 303);
			assert.equal(answer.location, "/sign-in?next=/stations/new");
			assert.ok(!answer.text.includes("secret words"));
		});
	test("too long to go along is shown, to be copied", async () => {
		const long = "word ".repeat(6000);
		const answer = await post("/stations", { ...fields, name: long }, dead);
		assert.equal(answer.status, 401);
		assert.ok(answer.text.includes(long));
		assert.ok(!answer.text.includes('name="resend"'));
	});
	test("given to the sign-in by another site, without the cookie, is not shown", async () => {
		const along = { resend: "_who=2003&code=X&name=put-there", resend_target: "/stations", next: "/" };
		const wrong = await post("/sign-in", { badge: "2003", password: "wrong", ...along });
		assert.equal(wrong.status, 422);
		assert.ok(!wrong.text.includes("put-there"));
		assert.equal((await post("/sign-in", { badge: "2003", password, ...along })).status, 303);
		const kept = await post("/sign-in", { badge: "2003", password, ...along }, dead);
		assert.equal(kept.status, 200);
		assert.ok(kept.text.includes("put-there"), "with it, it is");
		for (const target of ["https://example.org/", "//example.org/", "/\\example.org"])
			assert.equal((await post("/sign-in", { badge: "2003", password, ...along, resend_target: target }, dead)).status, 303, target);
	});
});

test("what one person typed and did not send is there for that person only", async () => {
	const page = await tablet(true);
	const signOut = async () => {
		await page.click("summary");
		await page.click('form[action="/sign-out"] button');
		await page.waitForURL("**/sign-in");
	};
	await signIn(page, department, "2003");
	await type(page, "MINE1", "Mine alone");
	await page.goto(department.url + "/");
	await signOut();
	await signIn(page, department, "1001");
	await page.goto(department.url + "/stations/new");
	assert.equal(await page.inputValue("#f-name"), "");
	await type(page, "YOURS1", "Yours alone");
	await page.goto(department.url + "/");
	await signOut();
	await signIn(page, department, "2003");
	await page.goto(department.url + "/stations/new");
	assert.equal(await page.inputValue("#f-name"), "Mine alone");
	await page.context().close();
});
