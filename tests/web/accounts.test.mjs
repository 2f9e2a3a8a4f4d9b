// Accounts, passwords, settings and rules, by form and by JSON.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { Database } from "./sqlite.mjs";
import { Department, attempt, browser, password, run, signIn } from "./harness.mjs";

let department, token = {}, session = {};
const by = (role, path, options = {}) => department.json(path, { token: token[role], ...options });
const change = async (role, path, body) => {
	const seen = await by(role, path.replace(/\/password$/, ""));
	return by(role, path, { body, headers: { "if-match": seen.headers.get("etag") } });
};
const errors = (answer) => {
	assert.equal(answer.status, 422, answer.text);
	return answer.doc.errors.map((error) => error.field);
};
const lastEntry = () => Database.rows(department.data, "SELECT actor, action, records FROM audit_entry ORDER BY seq DESC LIMIT 1")[0];

/** A signed-in browser without a browser: its cookie and form token. */
async function signed(badge, word = password) {
	const answer = await fetch(department.url + "/sign-in", { method: "POST", redirect: "manual",
		headers: { accept: "application/json", "content-type": "application/x-www-form-urlencoded" },
		body: new URLSearchParams({ badge, password: word }) });
	const doc = await answer.json();
	return { status: answer.status, cookie: answer.headers.get("set-cookie")?.split(";")[0], form: doc.form_token };
}
/** A page as the browser asks for it, or a form as it sends it. */
async function page(who, path, fields) {
	const answer = await fetch(department.url + path, { method: fields ? "POST" : "GET", redirect: "manual",
		headers: { accept: "text/html", cookie: who.cookie, ...(fields ? { "content-type": "application/x-www-form-urlencoded" } : {}) },
		body: fields && new URLSearchParams({ _token: who.form, ...fields }) });
	return { status: answer.status, location: answer.headers.get("location"), cookie: answer.headers.get("set-cookie")?.split(";")[0], text: await answer.text() };
}
const hidden = (html, name) => html.match(new RegExp(`name="${name}" value="([^"]*)"`))[1];
const stillIn = async (who) => (await page(who, "/tokens")).status === 200;

before(async () => {
	department = new Department().fill();
	const more = department.import("members", "badge,family_name,given_name,station\r\n3001,Adeyemi,Tola,ST1\r\n3002,Novak,Petra,ST1\r\n3003,Brandt,Uwe,ST1\r\n");
	assert.equal(more.code, 0, more.err);
	for (const [role, badge] of [["administrator", "1001"], ["officer", "2003"], ["inspector", "2001"]]) token[role] = department.token(badge);
	await department.start();
	session.administrator = await signed("1001");
});
after(async () => {
	await department?.stop();
	department?.remove();
});

const idOf = (badge) => Database.rows(department.data, `SELECT a.id FROM account a JOIN member m ON m.id = a.member_id WHERE m.badge = '${badge}'`)[0]?.id;
const memberOf = (badge) => Database.rows(department.data, `SELECT id FROM member WHERE badge = '${badge}'`)[0].id;

describe("accounts", () => {
	test("are listed, searched, filtered, sorted, paged and exported", async () => {
		const list = await by("administrator", "/accounts");
		assert.equal(list.doc.total, 4);
		const own = list.doc.rows.find((row) => row.badge === "1001");
		assert.deepEqual([own.role, own.is_open, own.has_password, own.token_count], ["administrator", true, true, 1]);
		assert.match(own.last_sign_in, /^\d{4}-\d\d-\d\dT/);
		assert.equal(list.doc.rows.find((row) => row.badge === "2002").last_sign_in, null);
		assert.deepEqual((await by("administrator", "/accounts?q=okafor")).doc.rows.map((row) => row.badge), ["2001"]);
		assert.deepEqual((await by("administrator", "/accounts?role=officer")).doc.rows.map((row) => row.badge), ["2003"]);
		assert.deepEqual((await by("administrator", "/accounts?sort=role")).doc.rows.map((row) => row.role), ["administrator", "officer", "inspector", "member"]);
		assert.equal((await by("administrator", "/accounts?sort=latest")).doc.rows[0].badge, "1001");
		assert.equal((await by("administrator", "/accounts?size=1&page=2")).doc.rows.length, 1);
		assert.equal((await by("administrator", "/accounts?open=no")).doc.total, 0);
		const csv = await by("administrator", "/accounts.csv?role=inspector");
		assert.match(csv.text, /^badge,name,role,may_sign_in,password,last_sign_in,tokens\r\n2001,Ines Okafor,inspector,yes,yes,,1\r\n$/);
	});

	test("no hash leaves the house", async () => {
		for (const path of ["/accounts", `/accounts/${idOf("1001")}`, "/accounts.csv"])
			assert.ok(!(await by("administrator", path)).text.includes("argon2"), path);
	});

	test("are made with a password that is shown once, by form", async () => {
		const form = await page(session.administrator, "/accounts/new");
		assert.match(form.text, /Adeyemi, Tola \(3001\)/);
		assert.ok(!form.text.includes("Okafor, Ines"), "who has one is not offered");
		const fields = { member: memberOf("3001"), role: "inspector", password: "", password_again: "", _key: hidden(form.text, "_key") };
		const made = await page(session.administrator, "/accounts", fields);
		assert.equal(made.status, 201, made.text);
		const word = made.text.match(/<code>([^<]+)<\/code>/)[1];
		assert.match(word, /^[2-9a-z]{4}(-[2-9a-z]{4}){3}$/);
		assert.equal((await signed("3001", word)).status, 200);
		assert.ok(!(await page(session.administrator, `/accounts/${idOf("3001")}`)).text.includes(word));
		const again = await page(session.administrator, "/accounts", fields);
		assert.equal(again.status, 422);
		assert.match(again.text, /Tola Adeyemi has an account already/);
		for (const table of ["repeated_request", "audit_entry", "account"])
			assert.ok(!JSON.stringify(Database.rows(department.data, `SELECT * FROM ${table}`)).includes(word), table);
		assert.deepEqual([lastEntry().actor.split(" ")[0], lastEntry().action], ["1001", "add account"]);
	});

	test("are a link away from the member", async () => {
		const links = async (badge) => (await page(session.administrator, `/members/${memberOf(badge)}`)).text.match(/\/accounts\/[^"]*/)[0];
		assert.equal(await links("2001"), `/accounts/${idOf("2001")}`);
		assert.equal(await links("3003"), `/accounts/new?member=${memberOf("3003")}`);
		assert.match((await page(session.administrator, await links("3003"))).text, new RegExp(`<option value="${memberOf("3003")}" selected>`));
		assert.ok(!(await by("officer", `/members/${memberOf("3003")}`, { headers: { accept: "text/html" } })).text.includes("/accounts"));
	});

	test("are made with a typed password, by JSON", async () => {
		const body = { member: memberOf("3002"), role: "member", password: "once upon a time", password_again: "once upon a time" };
		assert.deepEqual(errors(await by("administrator", "/accounts", { body: { ...body, password_again: "another password" } })), ["password_again"]);
		assert.deepEqual(errors(await by("administrator", "/accounts", { body: { ...body, password: "short", password_again: "short" } })), ["password", "password_again"]);
		assert.deepEqual(errors(await by("administrator", "/accounts", { body: { ...body, role: "chief" } })), ["role"]);
		assert.deepEqual(errors(await by("administrator", "/accounts", { body: { ...body, member: 9999 } })), ["member"]);
		const made = await by("administrator", "/accounts", { body, headers: { "idempotency-key": "typed" } });
		assert.equal(made.status, 201, made.text);
		assert.equal(made.doc.secret, null);
		assert.equal(made.headers.get("location"), `/accounts/${idOf("3002")}`);
		assert.equal((await signed("3002", "once upon a time")).status, 200);
		assert.equal(Database.rows(department.data, "SELECT 1 FROM repeated_request WHERE key = 'typed'").length, 0, "no fast hash of a password is kept");
	});

	test("a role changes at once", async () => {
		const path = `/accounts/${idOf("2001")}`;
		assert.equal((await by("inspector", "/audit")).status, 403);
		const changed = await change("administrator", path, { role: "officer" });
		assert.equal(changed.status, 200, changed.text);
		assert.equal((await by("inspector", "/audit")).status, 200);
		assert.equal((await by("administrator", path, { body: { role: "inspector" } })).status, 428);
		assert.equal((await by("administrator", path, { body: { role: "inspector" }, headers: { "if-match": '"1"' } })).status, 412);
		await change("administrator", path, { role: "inspector" });
	});

	test("closing ends the sessions and stops the tokens; opening lets in again", async () => {
		const who = await signed("2001"), path = `/accounts/${idOf("2001")}`;
		assert.ok(await stillIn(who));
		const form = await page(session.administrator, `${path}/edit`);
		const closed = await page(session.administrator, path, { role: "inspector", active: "no", _version: hidden(form.text, "_version") });
		assert.equal(closed.status, 303, closed.text);
		assert.ok(!await stillIn(who));
		assert.equal((await by("inspector", "/")).status, 401);
		assert.equal((await signed("2001")).status, 422);
		assert.deepEqual((await by("administrator", "/accounts?open=no")).doc.rows.map((row) => row.badge), ["2001"]);
		assert.equal((await change("administrator", path, { active: true })).status, 200);
		assert.ok(!await stillIn(who), "the old session stays ended");
		assert.equal((await signed("2001")).status, 200);
	});

	test("the last administrator stays", async () => {
		const path = `/accounts/${idOf("1001")}`, second = `/accounts/${idOf("2003")}`;
		assert.deepEqual(errors(await change("administrator", path, { role: "officer" })), ["role"]);
		assert.deepEqual(errors(await change("administrator", path, { active: false })), ["active"]);
		const member = `/members/${memberOf("1001")}`;
		assert.deepEqual(errors(await change("officer", member, { status: "left" })), ["status"]);
		const seen = await page(session.administrator, `${path}/edit`);
		const form = await page(session.administrator, path, { role: "member", active: "yes", _version: hidden(seen.text, "_version") });
		assert.equal(form.status, 422);
		assert.match(form.text, /href="#f-role">This is the last administrator/);
		// A second one who may not sign in does not count.
		await change("administrator", second, { role: "administrator" });
		await change("administrator", second, { active: false });
		assert.deepEqual(errors(await change("administrator", path, { role: "officer" })), ["role"]);
		await change("administrator", second, { active: true });
		assert.equal((await change("administrator", path, { role: "officer" })).status, 200);
		assert.equal((await by("administrator", "/accounts")).status, 403);
		assert.equal((await change("officer", path, { role: "administrator" })).status, 200);
		assert.equal((await change("administrator", second, { role: "officer" })).status, 200);
	});

	test("a new password ends the sessions", async () => {
		const who = await signed("2002"), path = `/accounts/${idOf("2002")}/password`;
		const made = await change("administrator", path, {});
		assert.equal(made.status, 200, made.text);
		assert.ok(!await stillIn(who));
		assert.equal((await signed("2002")).status, 422);
		assert.equal((await signed("2002", made.doc.secret)).status, 200);
		const form = await page(session.administrator, path);
		const typed = await page(session.administrator, path, { password, password_again: password, _version: hidden(form.text, "_version") });
		assert.equal(typed.status, 303, typed.text);
		assert.equal((await signed("2002")).status, 200);
		assert.equal((await change("administrator", `/accounts/${idOf("1001")}/password`, {})).status, 409, "one's own is changed by the old one");
	});

	test("tokens are seen and revoked", async () => {
		const path = `/accounts/${idOf("2001")}`, seen = await by("administrator", path);
		const [{ id, is_revoked }] = seen.doc.tokens;
		assert.equal(is_revoked, false);
		assert.equal((await by("administrator", `/accounts/${idOf("2002")}/tokens/${id}/revoke`, { body: {} })).status, 404, "of another account");
		const html = await page(session.administrator, path);
		const ended = await page(session.administrator, html.text.match(/action="(\/accounts\/\d+\/tokens\/\d+\/revoke)"/)[1], {});
		assert.equal(ended.status, 303);
		assert.equal((await by("inspector", "/")).status, 401);
	});
});

describe("one's own password", () => {
	const fresh = "a fresh password of mine";
	test("is changed by the old one; other sessions end, this one goes on", async () => {
		const here = await signed("2002"), elsewhere = await signed("2002");
		const wrong = await page(here, "/password", { old_password: "not my password", password: fresh, password_again: fresh });
		assert.equal(wrong.status, 422);
		assert.match(wrong.text, /href="#f-old_password">This is not your password/);
		assert.ok(!wrong.text.includes(fresh));
		const differ = await page(here, "/password", { old_password: password, password: fresh, password_again: fresh + "!" });
		assert.match(differ.text, /href="#f-password_again"/);
		assert.ok(await stillIn(elsewhere));
		const done = await page(here, "/password", { old_password: password, password: fresh, password_again: fresh });
		assert.equal(done.status, 303, done.text);
		assert.ok(!await stillIn(elsewhere));
		assert.ok(!await stillIn(here));
		assert.ok(await stillIn({ cookie: done.cookie }));
		assert.equal((await signed("2002", fresh)).status, 200);
	});
});

describe("settings", () => {
	test("show themselves and the service, and no path", async () => {
		const answer = await by("administrator", "/settings");
		assert.equal(answer.doc.service.audit_entries, Database.count(department.data, "audit_entry"));
		assert.match(answer.doc.service.software, /^Pegwarden \d/);
		assert.equal(answer.doc.form.find((field) => field.name === "department").value, "Brackwater Fire Department");
		const html = await page(session.administrator, "/settings");
		for (const text of [answer.text, html.text]) assert.ok(!text.includes(department.folder));
	});

	for (const [field, value] of [["time_zone", "Mars/Olympus"], ["time_zone", "../../etc/passwd"], ["time_zone", ""], ["department", ""], ["officer_email", "nobody"],
		["mail_from", "a b@example.org"], ["mail_url", "http://example.org"], ["public_address", "gear.example.org"], ["public_address", "https://example.org/"]])
		test(`${field} cannot be "${value}"`, async () => {
			const before = Database.count(department.data, "audit_entry");
			assert.deepEqual(errors(await change("administrator", "/settings", { [field]: value })), [field]);
			assert.equal(Database.count(department.data, "audit_entry"), before);
		});

	test("are stored by form, audited, and hold at once", async () => {
		const form = await page(session.administrator, "/settings");
		const fields = { department: "Harrow Point Fire", time_zone: "Pacific/Kiritimati", officer_email: "officer@example.org", mail_from: "", mail_url: "",
			public_address: "https://gear.example.org", _version: hidden(form.text, "_version") };
		const stored = await page(session.administrator, "/settings", fields);
		assert.equal(stored.status, 303, stored.text);
		const entry = lastEntry(), names = JSON.parse(entry.records).map((record) => record.state.name).sort();
		assert.equal(entry.action, "change settings");
		assert.deepEqual(names, ["department", "officer_email", "public_address", "time_zone"], "only what changed");
		const home = await page(session.administrator, "/tokens");
		const day = new Intl.DateTimeFormat("en-CA", { timeZone: "Pacific/Kiritimati" }).format(new Date());
		assert.match(home.text, new RegExp(`Harrow Point Fire · ${day}`));
		const stale = await page(session.administrator, "/settings", { ...fields, department: "Another" });
		assert.equal(stale.status, 412);
		assert.match(stale.text, /Stored now: Harrow Point Fire/);
	});

	test("an empty one is taken back", async () => {
		const stored = await change("administrator", "/settings", { officer_email: null, time_zone: "UTC" });
		assert.equal(stored.status, 200, stored.text);
		assert.equal(stored.doc.form.find((field) => field.name === "officer_email").value, "");
	});
});

describe("rules", () => {
	const months = (doc, name) => doc.form.find((field) => field.name === name).value;
	test("tighter needs no reason, looser does, and duties follow", async () => {
		const due = () => Database.rows(department.data, "SELECT count(*) AS n, min(due_on) AS first FROM duty WHERE duty = 'advanced_inspection' AND due_on IS NOT NULL")[0];
		const before = due();
		const tighter = await change("officer", "/rules", { advanced_inspection_first_months: 6 });
		assert.equal(tighter.status, 200, tighter.text);
		assert.equal(months(tighter.doc, "advanced_inspection_first_months"), "6");
		assert.ok(due().first < before.first, "due sooner");
		assert.deepEqual(errors(await change("officer", "/rules", { advanced_inspection_first_months: 18 })), ["reason"]);
		assert.deepEqual(errors(await change("officer", "/rules", { advanced_inspection_first_months: 0 })), ["advanced_inspection_first_months"]);
		const looser = await change("officer", "/rules", { advanced_inspection_first_months: 18, reason: "Agreed with the authority, letter of May." });
		assert.equal(looser.status, 200, looser.text);
		assert.deepEqual(looser.doc.reasons, [{ name: "advanced_inspection_first_months", value: "18", reason: "Agreed with the authority, letter of May." }]);
		const back = await change("officer", "/rules", { advanced_inspection_first_months: null });
		assert.equal(back.status, 200, back.text);
		assert.deepEqual(due(), before);
	});
	test("with another rule set the department's own times are kept or dropped as it says", async () => {
		const value = (name) => Database.rows(department.data, `SELECT value FROM setting WHERE name = '${name}'`)[0]?.value ?? "";
		const asked = { rule_set: "nfpa_1851_2014", reason: "Adopted by the state." };
		const back = async () => assert.equal((await change("officer", "/rules", { rule_set: "nfpa_1851_2020", adjustments: "drop", advanced_cleaning_first_months: null, advanced_inspection_first_months: null })).status, 200);
		assert.equal((await change("officer", "/rules", { advanced_cleaning_first_months: 9, reason: "Agreed." })).status, 200);
		assert.ok(!(await by("officer", "/rules")).doc.form.some((field) => field.name === "adjustments"), "asked only then");
		assert.deepEqual(errors(await change("officer", "/rules", asked)), ["adjustments"]);
		assert.deepEqual(errors(await change("officer", "/rules", { rule_set: "nfpa_1851_2014", adjustments: "keep" })), ["reason"]);
		assert.equal((await change("officer", "/rules", { ...asked, adjustments: "keep" })).status, 200);
		assert.equal(value("advanced_cleaning_first_months"), "9");
		await back();
		assert.equal(value("advanced_cleaning_first_months"), "");
		// Kept, and looser than the new set: nine months are looser than six.
		assert.equal((await change("officer", "/rules", asked)).status, 200);
		assert.equal((await change("officer", "/rules", { advanced_cleaning_first_months: 9 })).status, 200, "tighter than twelve");
		assert.deepEqual(errors(await change("officer", "/rules", { rule_set: "nfpa_1851_2020", adjustments: "keep" })), ["reason"]);
		assert.equal(value("rule_set"), "nfpa_1851_2014", "nothing was stored");
		await back();
	});
	test("the rules have a name of their own, and each tells its source and its confidence", async () => {
		const named = await change("officer", "/rules", { own_rules_name: "Harbor rules 2027" });
		assert.equal(named.doc.own_rules_name, "Harbor rules 2027");
		for (const rule of named.doc.rules) assert.ok(rule.source && rule.set_value && rule.confidence_words.startsWith(rule.confidence), rule.code);
		assert.equal(named.doc.rules.find((rule) => rule.code === "liner_inspection").confidence, "low");
		assert.match((await page(session.administrator, "/rules")).text, /Harbor rules 2027, after NFPA 1851, 2020 edition/);
	});
	test("another rule set has other fields", async () => {
		const form = await page(session.administrator, "/rules");
		const sent = { _version: hidden(form.text, "_version"), rule_set: "maker_limits", age_reading: "strict", cleaning_reading: "interval", reason: "" };
		const refused = await page(session.administrator, "/rules", sent);
		assert.equal(refused.status, 422);
		assert.match(refused.text, /looser.*: no such duty instead of .* \(and \d more\)/);
		sent.reason = "Outside North America.";
		const stored = await page(session.administrator, "/rules", sent);
		assert.equal(stored.status, 303, stored.text);
		const names = (await by("officer", "/rules")).doc.form.map((field) => field.name);
		assert.ok(!names.includes("liner_inspection_cbrn_first_months"));
		assert.deepEqual(errors(await change("officer", "/rules", { liner_inspection_cbrn_first_months: 12 })), ["liner_inspection_cbrn_first_months"]);
		assert.equal((await change("officer", "/rules", { rule_set: "nfpa_1851_2020" })).status, 200);
	});
});

describe("in the browser without scripts", () => {
	test("an administrator finds the pages, makes an account, and touch targets are 48 px", async () => {
		const chrome = await browser();
		const context = await chrome.newContext({ viewport: { width: 360, height: 740 }, javaScriptEnabled: false });
		const view = await context.newPage();
		await signIn(view, department, "1001");
		await view.click("summary");
		await view.click("nav a[href='/accounts']");
		await view.click("main a[href='/accounts/new']");
		await view.selectOption("#f-member", { label: "Brandt, Uwe (3003)" });
		await view.selectOption("#f-role", "member");
		await view.click("main form button[type=submit]");
		const word = await view.textContent("main code");
		assert.equal((await signed("3003", word)).status, 200);
		const small = [];
		for (const path of ["/accounts", `/accounts/${idOf("1001")}`, "/accounts/new", `/accounts/${idOf("2002")}/edit`, `/accounts/${idOf("2002")}/password`, "/settings", "/rules", "/password"]) {
			await view.goto(department.url + path);
			for (const part of await view.locator("main button, main a.button, main label.choice, main select, main input:not([type=radio]):not([type=hidden])").all()) {
				const box = await part.boundingBox();
				if (box.height < 48) small.push([path, await part.evaluate((element) => element.outerHTML.slice(0, 80)), box.height]);
			}
		}
		await chrome.close();
		assert.deepEqual(small, []);
	});
});

describe("the command line", () => {
	test("keeps the last administrator and checks what it is given; the record holds", async () => {
		await department.stop();
		const kept = attempt(["account", "--data", department.data, "--badge", "1001", "--role", "member", "--password-cost", "least", "--password-file", department.passwordFile]);
		assert.equal(kept.code, 1);
		assert.match(kept.err, /last administrator/);
		const left = department.import("members", "badge,family_name,given_name,station,status\r\n1001,Administrator,First,HQ,left\r\n", ["--update"]);
		assert.equal(left.code, 1);
		assert.match(left.err, /status: This is the last administrator/);
		const set = (name, value) => attempt(["setting", "--data", department.data, "--name", name, "--value", value]);
		assert.match(set("officer_email", "nobody").err, /mail address/);
		assert.equal(set("officer_email", "").code, 0);
		run(["verify", "--data", department.data]);
		run(["rebuild", "--data", department.data, "--check"]);
		await department.start();
	});
});

describe("guessing", () => {
	test("one's own password has to wait as at the sign-in, also for the right one", async () => {
		const kept = department;
		department = new Department();
		try {
			await department.start();
			const here = await signed("1001"), fresh = { password: "a fresh password", password_again: "a fresh password" };
			const statuses = [];
			while (statuses.length < 8 && statuses.at(-1) !== 429)
				statuses.push((await page(here, "/password", { old_password: `guess ${statuses.length}`, ...fresh })).status);
			assert.equal(statuses.pop(), 429);
			assert.ok(statuses.length >= 4 && statuses.every((status) => status === 422), statuses.join());
			assert.equal((await page(here, "/password", { old_password: password, ...fresh })).status, 429);
		} finally {
			await department.stop();
			department.remove();
			department = kept;
		}
	});
});
