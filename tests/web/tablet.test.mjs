// The shared tablet: who makes one of it, who signs in on it, what a PIN opens and what not,
// and that nothing of anybody's work is lost when it locks or goes from hand to hand.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { Database } from "./sqlite.mjs";
import { Department, attempt, browser, password } from "./harness.mjs";
import { JsonClient, answer, begin } from "./inspecting.mjs";
import { Device, enrolled, pin } from "./tablet.mjs";

let department, token = {}, account = {}, station;
const rows = (sql) => Database.rows(department.data, sql);
/** From outside, which the server sees with its next commit. */
const change = async (sql) => {
	Database.change(department.data, sql);
	assert.equal((await new Device(department).signIn("2006")).status, 303);
};
const officer = (path, body, version) => department.json(path, { token: token.officer, body, headers: version ? { "if-match": `"${version}"` } : {} });
const entries = () => rows("SELECT actor, action, records FROM audit_entry ORDER BY seq");
const lastEntry = () => entries().at(-1);
const wrong = "713905";
/** As if so much time had gone by without anybody touching the tablet. */
const leave = (device, seconds = 301) => change(`UPDATE session SET seen_s = seen_s - ${seconds} WHERE tablet_id = ${device.id}`);
const isSignedIn = async (device) => (await device.ask("/tokens")).status === 200;

before(async () => {
	department = new Department().fill();
	for (const [kind, text] of [["stations", "code,name\r\nST2,Harbour\r\n"],
		["members", "badge,family_name,given_name,station,trained_until,status\r\n2004,Adeyemi,Tola,ST1,2099-06-30,active\r\n2005,Novak,Petra,ST1,,active\r\n2006,Brandt,Uwe,ST2,,active\r\n2007,Gone,Gil,ST1,,left\r\n2008,Idle,Ina,ST1,,active\r\n"]]) {
		const made = department.import(kind, text);
		assert.equal(made.code, 0, made.err);
	}
	for (const [badge, role] of [["2004", "inspector"], ["2005", "inspector"], ["2006", "inspector"]]) department.account(badge, role);
	for (const badge of ["2001", "2002", "2003", "2004", "2006"]) department.pin(badge, pin);
	for (const [role, badge] of [["officer", "2003"], ["inspector", "2001"], ["other", "2004"]]) token[role] = department.token(badge);
	for (const row of rows("SELECT a.id, m.badge FROM account a JOIN member m ON m.id = a.member_id")) account[row.badge] = row.id;
	station = rows("SELECT id FROM station WHERE code = 'ST1'")[0].id;
	await department.start();
});
after(() => department.finish());

describe("a tablet is enrolled", () => {
	test("by a code that is shown once, and is used once", async () => {
		const desk = new Device(department), device = new Device(department);
		assert.equal((await desk.signIn("2003")).status, 303);
		const made = await desk.send(await desk.open("/tablets/new"), "/tablets", { name: "Bay 1", station });
		assert.equal(made.status, 201, made.text);
		const code = made.text.match(/<code>([^<]+)<\/code>/)[1];
		assert.match(code, /^[2-9a-z]{4}-[2-9a-z]{4}$/);
		assert.match(made.text, /\/tablet\/enrol/);
		const { id } = rows("SELECT id FROM tablet WHERE name = 'Bay 1'")[0];
		assert.ok(!(await desk.open(`/tablets/${id}`)).text.includes(code));
		// Typed as people type.
		const done = await device.send(await device.open("/tablet/enrol"), "/tablet/enrol", { code: ` ${code.toUpperCase().replace("-", " ")} ` });
		assert.equal(done.status, 303, done.text);
		const [cookie] = done.set;
		assert.match(cookie, /^pegwarden_tablet=[0-9a-f]{64}; Path=\/; HttpOnly; SameSite=Strict; Max-Age=34560000$/);
		assert.deepEqual([lastEntry().actor, lastEntry().action], ["nobody", "enrol tablet"]);
		const secret = device.cookies.get("pegwarden_tablet");
		for (const table of ["tablet", "tablet_code", "audit_entry", "repeated_request"])
			for (const hidden of [secret, code, code.replace("-", "")])
				assert.ok(!JSON.stringify(rows(`SELECT * FROM ${table}`)).includes(hidden), table);
		const again = await new Device(department).enrol(code);
		assert.equal(again.status, 422);
		assert.match(again.text, /href="#f-code">This code is not valid/);
	});
	test("not by a code that is too old, one that was replaced, or none", async () => {
		await change("DELETE FROM sign_in_failure");
		const made = await officer("/tablets", { name: "Late", station }), { id } = made.doc.tablet;
		await change(`UPDATE tablet_code SET until_s = unixepoch() - 1 WHERE tablet_id = ${id}`);
		const device = new Device(department);
		assert.equal((await device.enrol(made.doc.secret)).status, 422);
		const other = await officer(`/tablets/${id}/code`, {}, made.doc.version);
		assert.equal(other.status, 200, other.text);
		assert.deepEqual([lastEntry().actor, lastEntry().action], ["2003 Eva Moreau", "give tablet a new code"]);
		const third = await officer(`/tablets/${id}/code`, {}, other.doc.version);
		assert.equal((await device.enrol(other.doc.secret)).status, 422);
		assert.equal(device.cookies.size, 0);
		const { until_s: until, now } = rows(`SELECT until_s, unixepoch() AS now FROM tablet_code WHERE tablet_id = ${id}`)[0];
		assert.ok(until > now + 14 * 60 && until <= now + 15 * 60);
		assert.equal((await device.enrol(third.doc.secret)).status, 303);
	});
	test("and guessing codes is slowed down", async () => {
		const device = new Device(department);
		let status;
		for (let i = 0; i < 20 && status !== 429; i++) ({ status } = await device.enrol("2222-222" + i % 10));
		assert.equal(status, 429);
		await change("DELETE FROM sign_in_failure");
	});
	test("for its station only; a code for what is revoked, or a change that saw nothing, is refused", async () => {
		assert.equal((await officer("/tablets", { name: "Nowhere", station: 999 })).doc.errors[0].field, "station");
		const { doc: { tablet, secret } } = await officer("/tablets", { name: "Lost", station });
		const path = `/tablets/${tablet.id}`;
		assert.equal((await officer(path, { name: "Found", station: 1 }, 1)).status, 422, "it stays with its station");
		for (const to of [path, `${path}/code`, `${path}/revoke`]) {
			assert.equal((await officer(to, {})).status, 428);
			assert.equal((await officer(to, {}, 77)).status, 412);
		}
		const named = await officer(path, { name: "Lost & found" }, 1);
		assert.equal(named.doc.tablet.name, "Lost & found");
		assert.equal((await officer(`${path}/revoke`, {}, 2)).status, 200);
		assert.equal((await new Device(department).enrol(secret)).status, 422, "its code went with it");
		assert.equal((await officer(`${path}/code`, {}, 3)).status, 409);
		await change("DELETE FROM sign_in_failure");
	});
	test("and is listed, searched, filtered, sorted and exported", async () => {
		const device = await enrolled(department, token.officer, station, "Åsa's bay");
		await device.open("/sign-in");
		const list = (await officer("/tablets?q=asa")).doc;
		assert.deepEqual(list.rows.map((row) => [row.name, row.standing, row.station_label]), [["Åsa's bay", "enrolled", "ST1 Airfield"]]);
		while (!(await officer("/tablets?q=asa")).doc.rows[0].last_seen) await device.open("/sign-in");
		assert.equal((await officer("/tablets?sort=latest")).doc.rows[0].name, "Åsa's bay");
		assert.deepEqual((await officer("/tablets?standing=revoked")).doc.rows.map((row) => row.name), ["Lost & found"]);
		assert.equal((await officer("/tablets?station=999")).doc.total, 0);
		assert.match((await officer("/tablets.csv?standing=revoked")).text, /^name,station,standing,code_given_at,enrolled_at,last_seen,revoked_at\r\nLost & found,ST1 Airfield,revoked,\d{4}-[^,]*,,,\d{4}-[^,]*\r\n$/);
		for (const path of ["/tablets", `/tablets/${device.id}`, "/tablets.csv"]) assert.ok(!/[0-9a-f]{64}|argon/.test((await officer(path)).text), path);
	});
});

describe("on the tablet", () => {
	let device;
	before(async () => { device = await enrolled(department, token.officer, station, "Bay 2"); });

	test("the people of its station stand, who are in service and have an account, and nobody else", async () => {
		const page = await device.open("/");
		assert.equal(page.path, "/sign-in?next=/".replace("?next=/", ""));
		const names = [...page.text.matchAll(/href="\/tablet\/people\/(\d+)[^"]*">([^<]+)</g)].map(([, id, name]) => [Number(id), name]);
		assert.deepEqual(names, [["2004", "Tola Adeyemi"], ["2002", "Bo Larsen"], ["2003", "Eva Moreau"], ["2005", "Petra Novak"], ["2001", "Ines Okafor"]].map(([badge, name]) => [account[badge], name]));
		assert.ok(!/Brandt|Gone|Idle/.test(page.text));
		for (const id of [account["2006"], 999]) {
			assert.equal((await device.ask(`/tablet/people/${id}`)).status, 404);
			assert.equal((await device.ask(`/tablet/people/${id}`, { pin })).status, 404);
		}
	});
	test("a PIN begins a session that ends with the tablet's being handed over", async () => {
		const done = await device.giveIn(account["2001"], pin, "/components?q=px");
		assert.equal(done.status, 303, done.text);
		assert.equal(done.location, "/components?q=px");
		assert.ok(done.set.some((line) => line.startsWith("pegwarden_tablet=")), "its cookie is renewed");
		const page = await device.open("/");
		assert.match(page.text, /Hand over<\/button>/);
		assert.ok(!page.text.includes("Sign out"));
		const old = device.cookies.get("pegwarden_session");
		const over = await device.handOver();
		assert.equal(over.location, "/sign-in");
		assert.match((await device.open("/sign-in")).text, /Tola Adeyemi/);
		device.cookies.set("pegwarden_session", old);
		assert.ok(!await isSignedIn(device), "the session is over");
	});
	for (const [what, path] of [["another site", "https://example.org/"], ["another site without a scheme", "//example.org/"], ["another site, cunningly", "/\\example.org"]])
		test(`a PIN leads to no ${what}`, async () => {
			assert.equal((await device.giveIn(account["2001"], pin, path)).location, "/");
			await device.handOver();
		});
	test("whoever has no PIN yet is told what to do, and nothing is counted", async () => {
		const page = await device.ask(`/tablet/people/${account["2005"]}?next=/duties`);
		assert.match(page.text, /no PIN yet: sign in with badge and password/);
		assert.match(page.text, /name="badge"[^>]* value="2005"/);
		assert.equal((await device.send(page, "/sign-in", { badge: "2005", password })).location, "/duties", "there and then");
		await device.handOver();
		const answer = await device.ask(`/tablet/people/${account["2005"]}`, { pin });
		assert.equal(answer.status, 422);
		assert.match(answer.text, /has no PIN yet/);
		assert.equal(Database.count(department.data, "pin_failure"), 0);
	});
	test("an officer may do there what an inspector may", async () => {
		await device.giveIn(account["2003"]);
		assert.equal((await device.ask("/components")).status, 200);
		for (const path of ["/tablets", "/audit", "/rules", "/stations/new"]) assert.equal((await device.ask(path)).status, 403, path);
		await device.handOver();
		await device.signIn("2003");
		assert.equal((await device.ask("/audit")).status, 200, "but by password all of it");
		await device.handOver();
	});
	test("a PIN makes no API token and changes no secret", async () => {
		await device.giveIn(account["2001"]);
		const before = entries().length, tokens = await device.open("/tokens");
		assert.equal((await device.send(tokens, "/tokens", { name: "mine" })).status, 403);
		for (const [path, name] of [["/password", "password"], ["/pin", "pin"]]) {
			const page = await device.open(path), typed = name === "pin" ? { password: "no password at all", pin: "271828", pin_again: "271828" }
				: { old_password: "no password at all", password: "another password", password_again: "another password" };
			assert.equal((await device.send(page, path, typed)).status, 422);
		}
		assert.equal(entries().length, before);
		await device.handOver();
		await change("DELETE FROM sign_in_failure");
	});
	test("what is done is on record with the tablet's name", async () => {
		await device.giveIn(account["2001"]);
		const cleaned = rows("SELECT id, version FROM component WHERE tag = 'PX-HOOD'")[0];
		const page = await device.open(`/components/${cleaned.id}`);
		const done = await device.ask(`/components/${cleaned.id}/cleanings`, { _token: page.text.match(/name="_token" value="([^"]+)"/)[1], _version: cleaned.version, class: "routine", reason: "use", performed_by: "user" });
		assert.equal(done.status, 303, done.text);
		assert.equal(lastEntry().actor, "2001 Ines Okafor, tablet Bay 2");
		await device.handOver();
	});
});

describe("a PIN", () => {
	let device, elsewhere;
	const failures = () => rows("SELECT account_id, tablet_id, failures FROM pin_failure");
	/** As if the wait were over. */
	const forgive = () => change("UPDATE pin_failure SET last_s = 0");
	before(async () => {
		device = await enrolled(department, token.officer, station, "Bay 3");
		elsewhere = await enrolled(department, token.officer, station, "Bay 4");
	});

	test("is set by whoever knows the password, and not one that is guessed", async () => {
		const desk = new Device(department);
		await desk.signIn("2005");
		const set = async (typed) => desk.send(await desk.open("/pin"), "/pin", { password, pin: "415926", pin_again: "415926", ...typed });
		const before = entries().length;
		for (const [typed, field] of [[{ password: "not my password" }, "password"], [{ pin_again: "415927" }, "pin_again"], [{ pin: "111111", pin_again: "111111" }, "pin"],
			[{ pin: "123456", pin_again: "123456" }, "pin"], [{ pin: "112233", pin_again: "112233" }, "pin"], [{ pin: "41592", pin_again: "41592" }, "pin"], [{ pin: "412005", pin_again: "412005" }, "pin"], [{ pin: "41592x", pin_again: "41592x" }, "pin"]]) {
			const answer = await set(typed);
			assert.equal(answer.status, 422);
			assert.match(answer.text, new RegExp(`href="#f-${field}"`), JSON.stringify(typed));
			assert.ok(!answer.text.includes('value="4159'), "it is not shown again");
		}
		assert.equal(entries().length, before);
		assert.equal((await set({})).status, 303);
		assert.deepEqual([lastEntry().actor, lastEntry().action], ["2005 Petra Novak", "change own PIN"]);
		assert.match(lastEntry().records, /"pin_hash":"[0-9a-f]{64}"/);
		assert.match(rows(`SELECT pin_hash FROM account WHERE id = ${account["2005"]}`)[0].pin_hash, /^\$argon2id\$/);
		assert.equal((await device.giveIn(account["2005"], "415926")).status, 303);
		assert.ok(await isSignedIn(device));
		await set({ pin: "271828", pin_again: "271828" });
		assert.ok(!await isSignedIn(device), "a session begun with the one before is over");
		assert.equal((await device.giveIn(account["2005"], "415926")).status, 422);
		assert.equal((await device.giveIn(account["2005"], "271828")).status, 303);
		await device.handOver();
		assert.deepEqual(failures(), []);
	});
	test("is locked after five wrong ones, counted by person and tablet, and slowed down before", async () => {
		const count = entries().length;
		for (let i = 1; i <= 5; i++) {
			await forgive();
			const answer = await device.giveIn(account["2001"], wrong);
			assert.equal(answer.status, 422);
			assert.match(answer.text, i < 5 ? new RegExp(`after ${5 - i} more wrong ones? it is locked`) : /is locked now\. Sign in with badge and password, or ask an officer/);
			assert.match(answer.text, /href="#f-pin"/);
			assert.ok(!answer.text.includes(wrong));
			assert.match(answer.text, /The password or PIN has to be typed again/);
			assert.doesNotMatch(answer.text, /Nothing you typed is lost/);
			if (i === 2) {
				const waits = await device.giveIn(account["2001"]);
				assert.equal(waits.status, 429, "also the right one has to wait");
				assert.ok(Number(waits.headers.get("retry-after")) <= 2);
				assert.equal((await elsewhere.giveIn(account["2001"])).status, 303, "on another tablet nobody waits");
				assert.equal((await elsewhere.giveIn(account["2004"], wrong)).status, 422);
			}
		}
		assert.deepEqual(failures(), [{ account_id: account["2001"], tablet_id: device.id, failures: 5 }, { account_id: account["2004"], tablet_id: elsewhere.id, failures: 1 }]);
		assert.equal(entries().length, count + 1, "only the lock is a fact");
		assert.deepEqual([lastEntry().actor, lastEntry().action], ["nobody", "lock PIN after 5 wrong ones, tablet Bay 3"]);
		await forgive();
		for (const tablet of [device, elsewhere]) {
			const answer = await tablet.ask(`/tablet/people/${account["2001"]}`, { pin });
			assert.equal(answer.status, 422, "the right one is of no use, anywhere");
			assert.match(answer.text, /is locked after 5 wrong ones/);
		}
		assert.equal((await device.giveIn(account["2004"])).status, 303, "others go on");
		await device.handOver();
	});
	test("many wrong ones at once are counted one after another", async () => {
		await change("DELETE FROM pin_failure");
		const page = `/tablet/people/${account["2004"]}`;
		const answers = await Promise.all(Array.from({ length: 12 }, (_, i) => device.ask(page, { pin: i === 11 ? pin : wrong })));
		const statuses = answers.map((one) => one.status);
		assert.equal(statuses.filter((status) => status === 303).length, 0, "the right one among them has to wait as well");
		assert.equal(failures()[0].failures, statuses.filter((status) => status === 422).length);
		assert.ok(failures()[0].failures <= 3, JSON.stringify(statuses));
		await change("DELETE FROM pin_failure");
	});
	test("is unlocked by the password", async () => {
		const desk = new Device(department);
		assert.equal((await desk.signIn("2001")).status, 303);
		assert.deepEqual([lastEntry().actor, lastEntry().action], ["2001 Ines Okafor", "unlock own PIN by password"]);
		assert.equal((await device.giveIn(account["2001"])).status, 303);
		await device.handOver();
		const count = entries().length;
		await desk.signIn("2001");
		assert.equal(entries().length, count, "once");
	});
	test("is unlocked by an officer, who sees that it is locked", async () => {
		for (let i = 0; i < 5; i++) {
			await forgive();
			await device.giveIn(account["2001"], wrong);
		}
		const desk = new Device(department);
		await desk.signIn("2003");
		const page = await desk.open(`/tablets/${device.id}`), path = `/tablets/${device.id}/people/${account["2001"]}/unlock`;
		assert.match(page.text, /Unlock the PIN of Ines Okafor/);
		assert.equal((await officer(`/tablets/${device.id}/people/${account["2006"]}/unlock`, {})).status, 404, "of another station");
		assert.equal((await desk.send(page, path, {})).location, `/tablets/${device.id}`);
		assert.deepEqual([lastEntry().actor, lastEntry().action], ["2003 Eva Moreau", "unlock PIN"]);
		assert.ok(!/Unlock the PIN/.test((await desk.open(`/tablets/${device.id}`)).text));
		assert.equal((await device.giveIn(account["2001"])).status, 303);
		await device.handOver();
	});
	test("opens nothing on any other device: there is no such page", async () => {
		const none = await new Device(department).ask("/tablet/nothing/1");
		const without = new Device(department), forged = new Device(department);
		forged.cookies.set("pegwarden_tablet", "0".repeat(64));
		for (const other of [without, forged])
			for (const fields of [undefined, { pin }, { no_such_field: "x" }]) {
				const answer = await other.ask(`/tablet/people/${account["2001"]}`, fields);
				assert.equal(answer.status, 404);
				assert.equal(answer.text.replace(/value="[0-9a-f]{32,}"/g, ""), none.text.replace(/value="[0-9a-f]{32,}"/g, ""));
			}
		assert.ok(!(await forged.open("/sign-in")).text.includes("Okafor"));
	});
	test("nor does its session: it is bound to the tablet", async () => {
		await device.giveIn(account["2001"]);
		const thief = new Device(department), neighbour = new Device(department);
		for (const other of [thief, neighbour]) other.cookies.set("pegwarden_session", device.cookies.get("pegwarden_session"));
		neighbour.cookies.set("pegwarden_tablet", elsewhere.cookies.get("pegwarden_tablet"));
		assert.ok(!await isSignedIn(thief));
		assert.ok(!await isSignedIn(neighbour));
		assert.ok(await isSignedIn(device));
		await device.handOver();
	});
	test("opens nothing on a tablet that was revoked, or whose code another device used", async () => {
		const lost = await enrolled(department, token.officer, station, "Bay 9");
		await lost.giveIn(account["2001"]);
		const version = (await officer(`/tablets/${lost.id}`)).doc.version;
		const { doc } = await officer(`/tablets/${lost.id}/code`, {}, version), heir = new Device(department);
		assert.ok(await isSignedIn(lost), "until then it serves");
		await heir.enrol(doc.secret);
		assert.ok(!await isSignedIn(lost));
		assert.equal((await lost.ask(`/tablet/people/${account["2001"]}`, { pin })).status, 404);
		assert.equal((await heir.giveIn(account["2001"])).status, 303);
		assert.equal((await officer(`/tablets/${lost.id}/revoke`, {}, doc.version + 1)).status, 200);
		assert.deepEqual([lastEntry().actor, lastEntry().action], ["2003 Eva Moreau", "revoke tablet"]);
		assert.ok(!await isSignedIn(heir));
		assert.equal((await heir.ask(`/tablet/people/${account["2001"]}`, { pin })).status, 404);
		assert.ok(!(await heir.open("/sign-in")).text.includes("Okafor"), "it shows no names any more");
	});
	test("given on the command line is one that nobody guesses", async () => {
		const bad = new Department();
		assert.throws(() => bad.pin("1001", "111111"), /too easily guessed/);
		assert.match(attempt(["pin", "--data", bad.data, "--badge", "1001"]).err, /--pin-file/);
		bad.pin("1001", pin);
		await bad.start();
		await bad.finish();
	});
});

describe("a tablet that is left alone", () => {
	let device;
	before(async () => { device = await enrolled(department, token.officer, station, "Bay 5"); });

	test("asks for the PIN of the same person, and goes on to where they were", async () => {
		await device.giveIn(account["2001"]);
		await leave(device, 280);
		assert.ok(await isSignedIn(device), "not before five minutes");
		await leave(device);
		const page = await device.open("/components?q=px");
		assert.match(page.text, /<h1>Ines Okafor: your PIN<\/h1>/);
		assert.match(page.text, /was left alone/);
		assert.ok(!page.text.includes("Hand over"), "nobody is signed in");
		const json = await device.ask("/components", undefined, "application/json");
		assert.equal(json.status, 401);
		const on = await device.send(page, `/tablet/people/${account["2001"]}`, { pin });
		assert.equal(on.location, "/components?q=px");
		assert.ok(await isSignedIn(device));
		await device.handOver();
	});
	test("after as many minutes as the department says", async () => {
		const desk = new Device(department);
		await desk.signIn("1001");
		const set = async (minutes) => desk.send(await desk.open("/settings"), "/settings", { department: "Brackwater Fire Department", time_zone: "UTC", tablet_lock_minutes: minutes });
		for (const bad of ["0", "61", "x"]) assert.equal((await set(bad)).status, 422, bad);
		assert.equal((await set("20")).status, 303);
		await device.giveIn(account["2001"]);
		await leave(device, 1100);
		assert.ok(await isSignedIn(device));
		await leave(device, 1210);
		assert.ok(!await isSignedIn(device));
		assert.equal((await set("")).status, 303);
	});
	test("somebody else may take it then; the session before is over", async () => {
		await device.open("/sign-in?names=yes");
		await device.giveIn(account["2001"]);
		await leave(device);
		const page = await device.open("/duties");
		const names = page.text.match(/href="(\/sign-in\?names=yes[^"]*)"/)[1].replaceAll("&amp;", "&");
		const list = await device.open(names);
		const link = list.text.match(new RegExp(`href="(/tablet/people/${account["2004"]}[^"]*)"`))[1];
		const on = await device.send(await device.open(link), `/tablet/people/${account["2004"]}`, { pin });
		assert.equal(on.location, "/duties");
		assert.equal(rows(`SELECT count(*) AS n FROM session WHERE tablet_id = ${device.id}`)[0].n, 1);
		await device.handOver();
	});
	test("keeps what was typed: it is sent after the PIN", async () => {
		await device.giveIn(account["2001"]);
		const client = new JsonClient(department, token.inspector), id = await begin(client, "routine", "SX-HOOD");
		const { parts: [{ component }] } = await client.get(`/inspections/${id}`), path = `/inspections/${id}/parts/${component}`;
		const [{ code }] = (await client.get(path)).groups, shown = await client.get(`${path}?group=${code}`);
		const answers = Object.fromEntries(shown.points.map((point) => [point.code, "sound"]));
		const page = await device.open(`${path}?group=${code}`);
		await leave(device);
		const form = page.text.match(/<form[^>]* action="([^"]*parts[^"]*)"/)[1].replaceAll("&amp;", "&");
		const kept = await device.send(page, form, answers);
		assert.equal(kept.status, 401, kept.location);
		assert.match(kept.text, /<h1>Ines Okafor: your PIN<\/h1>/);
		assert.match(kept.text, /What you typed is kept/);
		const missed = await device.send(kept, `/tablet/people/${account["2001"]}`, { pin: wrong });
		assert.equal(missed.status, 422);
		const back = await device.send(missed, `/tablet/people/${account["2001"]}`, { pin });
		assert.equal(back.status, 200, back.text);
		assert.match(back.text, /<h1>Not sent yet<\/h1>/);
		assert.equal((await device.send(back, form, {})).status, 303);
		assert.ok((await client.get(`${path}?group=${code}`)).points.every((point) => point.answer === "sound"));
		await device.handOver();
	});
});

describe("a session that began with a PIN", () => {
	let device, first, second;
	const draftOf = async (client, tag) => {
		const id = await begin(client, "routine", tag);
		await answer(client, id);
		return id;
	};
	const signature = (id) => `/inspections/${id}/signature`;
	const review = async (id) => device.open(`/inspections/${id}/review`);
	const inspection = (id) => rows(`SELECT state, inspector_id FROM inspection WHERE id = ${id}`)[0];
	const member = (badge) => rows(`SELECT id FROM member WHERE badge = '${badge}'`)[0].id;
	before(async () => {
		device = await enrolled(department, token.officer, station, "Bay 6");
		first = new JsonClient(department, token.inspector);
		second = new JsonClient(department, token.other);
	});

	test("is taken over by a second one; the draft of the first stays theirs", async () => {
		await device.giveIn(account["2001"]);
		const id = await draftOf(first, "PX-HOOD");
		await device.handOver();
		assert.equal((await device.giveIn(account["2004"])).status, 303);
		assert.equal(inspection(id).inspector_id, member("2001"));
		assert.match((await review(id)).text, /Ines Okafor began this inspection/);
		const taken = await device.ask(signature(id), { _token: (await device.open("/")).text.match(/name="_token" value="([^"]+)"/)[1], confirmed: "yes", pin, _version: (await first.get(`/inspections/${id}/review`)).inspection.version });
		assert.equal(taken.status, 409);
		assert.deepEqual(inspection(id), { state: "draft", inspector_id: member("2001") });
		await device.handOver();
		await device.giveIn(account["2001"]);
		assert.equal((await device.send(await review(id), signature(id), { confirmed: "yes", pin })).status, 303);
		assert.equal(inspection(id).state, "signed");
		await device.handOver();
	});
	test("signs with the PIN, asked for again", async () => {
		await device.giveIn(account["2001"]);
		const id = await draftOf(first, "PX-SHROUD"), note = "Kept \"as\" <typed>";
		const page = await review(id), count = entries().length;
		assert.match(page.text, /<input id="f-pin" name="pin" type="password" inputmode="numeric"/);
		for (const [typed, words] of [[{}, /Give your PIN/], [{ pin: "" }, /Give your PIN/], [{ pin: wrong }, /This is not the PIN of Ines Okafor/]]) {
			const answer = await device.send(page, signature(id), { confirmed: "yes", note, ...typed });
			assert.equal(answer.status, 422, answer.text);
			assert.match(answer.text, words);
			assert.match(answer.text, /href="#f-pin"/);
			assert.match(answer.text, /Kept &quot;as&quot; &lt;typed&gt;<\/textarea>/);
			assert.match(answer.text, /value="yes" checked/);
			assert.ok(!answer.text.includes(wrong));
		}
		assert.equal(entries().length, count);
		assert.equal(inspection(id).state, "draft");
		assert.deepEqual(rows("SELECT failures FROM pin_failure"), [{ failures: 1 }]);
		const done = await device.send(page, signature(id), { confirmed: "yes", note, pin });
		assert.equal(done.status, 303, done.text);
		assert.equal(inspection(id).state, "signed");
		assert.deepEqual([lastEntry().actor, lastEntry().action], ["2001 Ines Okafor, tablet Bay 6", "sign inspection"]);
		assert.deepEqual(rows("SELECT failures FROM pin_failure"), []);
		const again = await device.send(page, signature(id), { confirmed: "yes", note, pin });
		assert.equal(again.location, done.location, "sent twice it is done once");
		assert.equal(lastEntry().action, "sign inspection");
		assert.ok(!JSON.stringify(rows("SELECT * FROM repeated_request")).includes(pin));
		await device.handOver();
	});
	test("cannot be made to sign by guessing", async () => {
		await device.giveIn(account["2001"]);
		const id = await draftOf(first, "PX-GLOVES"), page = await review(id);
		for (let i = 0; i < 5; i++) {
			await change("UPDATE pin_failure SET last_s = 0");
			assert.equal((await device.send(page, signature(id), { confirmed: "yes", pin: wrong })).status, 422);
		}
		assert.deepEqual([lastEntry().actor, lastEntry().action], ["2001 Ines Okafor, tablet Bay 6", "lock PIN after 5 wrong ones, tablet Bay 6"]);
		await change("UPDATE pin_failure SET last_s = 0");
		const locked = await device.send(page, signature(id), { confirmed: "yes", note: "not lost", pin });
		assert.equal(locked.status, 422);
		assert.match(locked.text, /is locked after 5 wrong ones[\s\S]*not lost/);
		assert.equal(inspection(id).state, "draft");
		await device.handOver();
		await device.signIn("2001");
		const byPassword = await review(id);
		assert.ok(!byPassword.text.includes('name="pin"'), "by password nobody is asked for it");
		assert.equal((await device.send(byPassword, signature(id), { confirmed: "yes" })).status, 303);
		assert.equal(lastEntry().actor, "2001 Ines Okafor");
		await device.handOver();
	});
	test("and was locked before the signature came: it is signed after all, with the PIN", async () => {
		await device.giveIn(account["2001"]);
		const id = await draftOf(first, "PX-OVERCOVER"), page = await review(id);
		await leave(device);
		const kept = await device.send(page, signature(id), { confirmed: "yes", note: "typed before", pin });
		assert.equal(kept.status, 401);
		assert.ok(!kept.text.includes(pin), "the PIN does not go along");
		const back = await device.send(kept, `/tablet/people/${account["2001"]}`, { pin });
		assert.match(back.text, /typed before/);
		const asked = await device.send(back, signature(id), {});
		assert.equal(asked.status, 422);
		assert.match(asked.text, /Give your PIN[\s\S]*typed before/);
		assert.equal((await device.send(asked, signature(id), { confirmed: "yes", note: "typed before", pin })).status, 303);
		assert.equal(rows(`SELECT note FROM inspection WHERE id = ${id}`)[0].note, "typed before");
		await device.handOver();
	});
	test("whose PIN was locked meanwhile sends what was typed by password", async () => {
		await device.giveIn(account["2001"]);
		const id = await draftOf(first, "PX-FACESHIELD"), page = await review(id);
		await leave(device);
		let kept = await device.send(page, signature(id), { confirmed: "yes", note: "typed before" });
		for (let i = 0; i < 5; i++) {
			await change("UPDATE pin_failure SET last_s = 0");
			kept = await device.send(kept, `/tablet/people/${account["2001"]}`, { pin: wrong });
		}
		assert.match(kept.text, /href="#f-pin">This is not the PIN of Ines Okafor, and it is locked now[\s\S]*<p class="notice" id="f-pin">/);
		const back = await device.send(kept, "/sign-in", { badge: "2001", password });
		assert.match(back.text, /typed before/);
		assert.equal((await device.send(back, signature(id), {})).status, 303);
		assert.equal(rows(`SELECT note FROM inspection WHERE id = ${id}`)[0].note, "typed before");
		await device.handOver();
	});
	test("with an API token nothing of it is asked", async () => {
		const id = await draftOf(second, "SX-GLOVES");
		await second.post(signature(id), { confirmed: true }, (await second.get(`/inspections/${id}/review`)).inspection.version);
		assert.equal(inspection(id).state, "signed");
	});
});

test("by touch: large names, a pad of digits, no scripts", async () => {
	const device = await enrolled(department, token.officer, station, "Bay 7"), chrome = await browser();
	const context = await chrome.newContext({ viewport: { width: 360, height: 740 }, javaScriptEnabled: false });
	await context.addCookies([{ name: "pegwarden_tablet", value: device.cookies.get("pegwarden_tablet"), url: department.url, httpOnly: true, sameSite: "Strict" }]);
	const page = await context.newPage();
	await page.goto(department.url + "/duties");
	for (const name of await page.locator(".people a").all()) assert.ok((await name.boundingBox()).height >= 72);
	await page.click("text=Tola Adeyemi");
	const input = page.locator("#f-pin");
	assert.equal(await input.getAttribute("inputmode"), "numeric");
	assert.ok((await input.boundingBox()).height >= 48);
	await input.fill(pin);
	await page.click("text=Go on");
	await page.waitForURL("**/duties");
	await page.click("summary");
	await page.click("text=Hand over");
	await page.waitForURL("**/sign-in");
	assert.match(await page.textContent("main"), /Who are you\?/);
	await context.close();
	await chrome.close();
});
