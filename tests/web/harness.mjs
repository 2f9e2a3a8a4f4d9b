// Starts the built program on a free port with a data folder of its own, and
// ends it by its own process id. PEGWARDEN names the binary under test.
import assert from "node:assert/strict";
import { spawn, execFileSync } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync, readFileSync, writeFileSync, existsSync } from "node:fs";
import { tmpdir } from "node:os";
import { after } from "node:test";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

export const root = resolve(dirname(fileURLToPath(import.meta.url)), "../..");
export const binary = process.env.PEGWARDEN ?? join(root, "build/pegwarden");
const generate = process.env.GENERATE ?? join(root, "build/demo/generate");
export const password = "a long test password";
const environment = { ...process.env, PEGWARDEN_SHARE: root };

export function run(args, options = {}) {
	return execFileSync(binary, args, { env: environment, encoding: "utf8", stdio: ["ignore", "pipe", "pipe"], ...options });
}

/** What can be imported and exported, in the order in which it can be. */
export const kinds = run(["kinds"]).trim().split("\n");

/** The exit code and what was written, also of a command that fails. */
export function attempt(args) {
	try {
		return { code: 0, out: run(args), err: "" };
	} catch (error) {
		return { code: error.status, out: error.stdout, err: error.stderr };
	}
}

/** The parts of a complete ensemble against a hazard, as import rows. */
export function ensembleRows(prefix, hazard, ensemble, holder, station = "ST1", made = "2024-02") {
	const reflective = hazard === "proximity" ? "yes" : "no";
	const parts = [["coat_shell", "M1", reflective], ["coat_liner", "M1", "no"], ["drd", "M1", "no"],
		["trouser_shell", "T1", reflective], ["trouser_liner", "T1", "no"], ["helmet", "H1", "no"],
		["faceshield", "F1", reflective], ["hood", "D1", "no"], ["gloves", "G1", "no"], ["footwear", "B1", "no"]];
	if (hazard === "proximity") parts.push(["overcover", "O1", "yes"], ["shroud", "S1", "yes"]);
	return parts.map(([kind, model, shiny]) => [`${prefix}-${kind.toUpperCase().replaceAll("_", "-")}`, kind, hazard, station,
		ensemble, `SN-${prefix}-${kind}`, "Harrow and Pell", model, "M", made, "2026-01-10", shiny, holder, "2026-01-10"].join(","));
}
export const componentColumns = "tag,kind,hazard,station,ensemble,serial,maker,model,size,made,in_service_on,reflective,holder,issued_on";

export class Department {
	constructor(administrator = "1001") {
		this.folder = mkdtempSync(join(tmpdir(), "pegwarden-test-"));
		this.data = join(this.folder, "data");
		this.passwordFile = join(this.folder, "password");
		writeFileSync(this.passwordFile, password + "\n", { mode: 0o600 });
		run(["init", "--data", this.data, "--password-file", this.passwordFile, "--password-cost", "least",
			"--department", "Brackwater Fire Department", "--zone", "UTC", "--badge", administrator]);
	}
	import(kind, text, extra = []) {
		const file = join(this.folder, `${kind}.csv`);
		writeFileSync(file, text);
		return attempt(["import", "--data", this.data, "--kind", kind, ...extra, file]);
	}
	account(badge, role) {
		run(["account", "--data", this.data, "--badge", badge, "--role", role, "--password-cost", "least",
			"--password-file", this.passwordFile]);
	}
	pin(badge, digits) {
		const file = join(this.folder, "pin");
		writeFileSync(file, digits + "\n", { mode: 0o600 });
		run(["pin", "--data", this.data, "--badge", badge, "--password-cost", "least", "--pin-file", file]);
	}
	token(badge) {
		return run(["token", "--data", this.data, "--member", badge, "--name", "test"]).trim();
	}
	/** One airfield station with a fighter whose proximity ensemble is complete. */
	fill() {
		const files = {
			stations: "code,name,email\r\nST1,Airfield,st1@example.org\r\n",
			members: "badge,family_name,given_name,station,structural,proximity,trained_until\r\n2001,Okafor,Ines,ST1,no,yes,2099-06-30\r\n2002,Larsen,Bo,ST1,yes,no,\r\n2003,Moreau,Eva,ST1,no,no,2099-06-30\r\n",
			providers: "code,name,class\r\nREMEND,Remend Works,verified_provider\r\nWASH,Clearwater Wash,verified_cleaner\r\n",
			components: [componentColumns, ...ensembleRows("PX", "proximity", "PX-1", "2001"),
				...ensembleRows("SX", "structural", "SX-1", "2002")].join("\r\n") + "\r\n",
		};
		for (const [kind, text] of Object.entries(files)) {
			const result = this.import(kind, text);
			if (result.code) throw new Error(`import of ${kind}: ${result.err}`);
		}
		for (const [badge, role] of [["2001", "inspector"], ["2002", "member"], ["2003", "officer"]]) this.account(badge, role);
		return this;
	}
	/** The demo department, as `demo/start` makes it. */
	fillDemo() {
		const tables = join(this.folder, "tables");
		execFileSync(generate, [tables]);
		assert.deepEqual(readdirSync(tables).sort(), kinds.map((kind) => `${kind}.csv`).sort(), "the demo department has every table");
		for (const kind of kinds) {
			const result = this.import(kind, readFileSync(join(tables, `${kind}.csv`)));
			if (result.code) throw new Error(`import of ${kind}: ${result.err}`);
		}
		return this;
	}
	async start(extra = []) {
		this.process = spawn(binary, ["serve", "--data", this.data, "--port", "0", "--quiet", "--strict-templates", ...extra],
			{ env: environment, stdio: ["ignore", "pipe", "pipe"] });
		this.log = "";
		this.process.stderr.on("data", (chunk) => { this.log += chunk; });
		// Not "exit": what it said last may still be on its way then.
		this.ended = new Promise((done) => this.process.once("close", (code, signal) => done({ code, signal })));
		this.url = await new Promise((done, failed) => {
			let text = "";
			this.process.stdout.on("data", (chunk) => {
				text += chunk;
				const match = text.match(/http:\/\/[\d.]+:\d+/);
				if (match) done(match[0]);
			});
			this.ended.then(() => failed(new Error(`the server ended: ${this.log}`)));
		});
		return this;
	}
	async stop(signal = "SIGTERM") {
		this.process.kill(signal);
		return this.ended;
	}
	async json(path, { token, body, method, headers = {} } = {}) {
		const answer = await fetch(this.url + path, {
			method: method ?? (body === undefined ? "GET" : "POST"), redirect: "manual",
			headers: { accept: "application/json", ...(token ? { authorization: `Bearer ${token}` } : {}),
				...(body === undefined || body instanceof FormData ? {} : { "content-type": "application/json" }), ...headers },
			body: body === undefined || body instanceof FormData || typeof body === "string" ? body : JSON.stringify(body),
		});
		const text = await answer.text();
		let doc = null;
		try { doc = JSON.parse(text); } catch { /* not JSON */ }
		return { status: answer.status, headers: answer.headers, doc, text };
	}
	/** Another department, made of the tables of this one. */
	copy() {
		const copy = new Department();
		for (const kind of kinds) {
			const result = copy.import(kind, run(["export", "--data", this.data, "--kind", kind]), ["--update"]);
			assert.equal(result.code, 0, `${kind}: ${result.err}`);
		}
		return copy;
	}
	/** Stopped for good: its record holds, and what follows from it is as the rules compute it. */
	async finish() {
		await this.stop();
		assert.match(run(["verify", "--data", this.data]), /holds/);
		assert.match(run(["rebuild", "--check", "--data", this.data]), /^0 /);
		this.remove();
	}
	remove() {
		if (existsSync(this.folder)) rmSync(this.folder, { recursive: true, force: true });
	}
}

// A test that fails leaves its browser open, and that would keep the whole run from ending.
const browsers = [];
after(() => Promise.all(browsers.map((one) => one.close())));

export async function browser(more = []) {
	const { chromium } = await import("playwright-core");
	const one = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
		args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
			"--disable-component-update", "--disable-sync", ...more] });
	browsers.push(one);
	return one;
}

export async function signIn(page, department, badge) {
	await page.goto(department.url + "/sign-in");
	await page.fill("#f-badge", badge);
	await page.fill("#f-password", password);
	await page.click("main form button[type=submit]");
	await page.waitForURL((url) => url.pathname !== "/sign-in");
}
