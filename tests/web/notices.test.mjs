// Notices by mail: once for each thing, retried when refused, shown with the reason.
import assert from "node:assert/strict";
import { createServer } from "node:net";
import { after, before, test } from "node:test";
import { Database } from "./sqlite.mjs";
import { Department, run } from "./harness.mjs";

/** A mail server of a few lines on loopback; `refuses` recipients get a 4xx. */
class MailServer {
	messages = [];
	refuses = new Set();
	start() {
		this.server = createServer((socket) => {
			let text = "", inData = false, to = null;
			const say = (line) => socket.write(line + "\r\n");
			say("220 test");
			socket.on("error", () => {});
			socket.on("data", (chunk) => {
				text += chunk;
				for (;;) {
					const end = text.indexOf(inData ? "\r\n.\r\n" : "\r\n");
					if (end < 0) return;
					const line = text.slice(0, end);
					text = text.slice(end + (inData ? 5 : 2));
					if (inData) {
						this.messages.push({ to, text: line });
						inData = false;
						say("250 taken");
					} else if (/^DATA/i.test(line)) {
						inData = true;
						say("354 go on");
					} else if (/^RCPT/i.test(line)) {
						to = line.match(/<(.*)>/)[1];
						say(this.refuses.has(to) ? "451 the box is full" : "250 ok");
					} else if (/^QUIT/i.test(line)) {
						say("221 bye");
						socket.end();
					} else say("250 ok");
				}
			});
		});
		return new Promise((done) => this.server.listen(0, "127.0.0.1", () => done(`smtp://127.0.0.1:${this.server.address().port}`)));
	}
}

const setting = (department, name, value, ...more) => run(["setting", "--data", department.data, "--name", name, "--value", value, ...more]);
const notify = (department) => {
	const [, count, sent, failed] = run(["notify", "--data", department.data]).match(/^(\d+) new notices; (\d+) mails sent, (\d+) not/);
	return { count: Number(count), sent: Number(sent), failed: Number(failed) };
};
const asynchronously = async (department) => {
	// The mail server lives in this process, so the command must not block it.
	const { spawn } = await import("node:child_process");
	const { binary, root } = await import("./harness.mjs");
	const child = spawn(binary, ["notify", "--data", department.data], { env: { ...process.env, PEGWARDEN_SHARE: root } });
	let text = "";
	child.stdout.on("data", (chunk) => { text += chunk; });
	child.stderr.on("data", (chunk) => { text += chunk; });
	await new Promise((done) => child.once("exit", done));
	const match = text.match(/^(\d+) new notices; (\d+) mails sent, (\d+) not/);
	assert.ok(match, text);
	return { count: Number(match[1]), sent: Number(match[2]), failed: Number(match[3]) };
};

let department, mail, url;
before(async () => {
	mail = new MailServer();
	url = await mail.start();
	department = new Department();
	for (const [kind, text] of Object.entries({
		stations: "code,name,email\nST1,Airfield,st1@example.org\n",
		members: "badge,family_name,given_name,station,email\n2001,Okafor,Ines,ST1,ines@example.org\n2002,Larsen,Bo,ST1,\n",
		components: "tag,kind,hazard,station,made,in_service_on,holder,issued_on\nOLD-1,hood,structural,ST1,2010-01,2010-03-01,2001,2010-03-01\nNEW-1,hood,structural,ST1,2026-10,2026-11-01,2002,2026-11-01\n",
	})) assert.equal(department.import(kind, text).code, 0);
});
after(() => {
	mail.server.close();
	department.remove();
});

test("without a mail server notices are written and wait", () => {
	const first = notify(department);
	assert.ok(first.count >= 4, `${first.count}`); // inspection and retirement, to station and holder
	assert.deepEqual([first.sent, first.failed], [0, 0]);
	assert.equal(notify(department).count, 0);
	assert.equal(Database.rows(department.data, "SELECT DISTINCT recipient FROM mail ORDER BY 1").length, 2);
});

test("mail goes out once, and says what is due", async () => {
	setting(department, "mail_url", url);
	setting(department, "mail_from", "gear@example.org");
	mail.refuses.add("ines@example.org");
	assert.deepEqual(await asynchronously(department), { count: 0, sent: 1, failed: 1 });
	assert.deepEqual(await asynchronously(department), { count: 0, sent: 0, failed: 0 }, "the refused one waits its time");
	assert.equal(mail.messages.length, 1);
	const [head, body] = mail.messages[0].text.split("\r\n\r\n");
	for (const line of [/^From: <gear@example.org>$/m, /^To: <st1@example.org>$/m, /^Message-ID: <notice-\d+-\d+@example.org>$/m,
		/^Date: (Mon|Tue|Wed|Thu|Fri|Sat|Sun), \d\d [A-Z][a-z]{2} \d{4} \d\d:\d\d:\d\d \+0000$/m, /^Subject: Protective clothing: \d+ due or overdue$/m, /^MIME-Version: 1\.0$/m])
		assert.match(head, line);
	assert.ok(!Number.isNaN(Date.parse(head.match(/^Date: (.*)$/m)[1])));
	const text = Buffer.from(body, "base64").toString("utf8");
	assert.match(text, /Retirement of Hood OLD-1: overdue since 2019-12-31/);
	assert.ok(!text.includes("NEW-1"));
});

test("what failed is shown with its reason, and can be tried again", async () => {
	const token = department.token("1001");
	await department.start();
	let page = await department.json("/notices?q=ines", { token });
	assert.equal(page.doc.rows[0].state, "waiting");
	assert.match(page.doc.rows[0].last_error, /451/);
	const html = await department.json("/notices", { token, headers: { accept: "text/html" } });
	assert.match(html.text, /451/);
	assert.equal((await department.json(`/notices/${page.doc.rows[0].id}/retry`, { token, body: {} })).status, 404, "it has not failed for good");
	await department.stop();
});

test("loosening a rule needs a reason; tightening does not", () => {
	const list = run(["notify", "--data", department.data, "--dry-run"]);
	assert.equal(list, "");
	assert.throws(() => setting(department, "age_reading", "end_of_month"), /reason/);
	setting(department, "age_reading", "end_of_month", "--reason", "The chief decided so.");
	assert.throws(() => setting(department, "no_such_thing", "1"), /no setting/);
	assert.throws(() => setting(department, "time_zone", "Mars/North"), /time zone/);
	assert.throws(() => setting(department, "mail_url", "http://example.org"), /smtp/);
	assert.match(run(["verify", "--data", department.data]), /holds/);
});
