// Every page there is: the demo department with one of each thing in each state, and a
// crawler that finds the pages by their links, as each of its people.
import assert from "node:assert/strict";
import { Department } from "./harness.mjs";
import { photoForm } from "./inspecting.mjs";
import { plainPng } from "./pictures.mjs";
import { enrolled } from "./tablet.mjs";

/** Whose pages they are, by badge; nobody is somebody before a shared tablet. */
export const people = { nobody: null, member: "1005", inspector: "3004", officer: "3003", administrator: "9001" };

/** Links of a page that stay here; files and tables to take away are no pages. */
const links = (html) => [...html.matchAll(/<a [^>]*href="(\/[^"#]*)"/g)].map((match) => match[1].replaceAll("&amp;", "&"))
	.filter((path) => !path.startsWith("/static") && !/\.(csv|jpg)/.test(path));
/** Addresses of one kind differ in numbers and days only, and in what their query asks for. */
export const shape = (path) => path.replace(/\d{4}-\d\d-\d\d/g, "D").replace(/\d+/g, "N").replace(/=[^&]*/g, "=");
/** What a page says, without what is new each time it is shown. */
export const said = (html) => html.slice(html.indexOf("<main")).replace(/<input type="hidden"[^>]*>/g, "");

export class Everywhere {
	async start() {
		const department = this.department = new Department(people.administrator).fillDemo();
		for (const role of ["member", "inspector", "officer"]) department.account(people[role], role);
		this.tokens = Object.fromEntries(Object.entries(people).map(([role, badge]) => [role, badge && department.token(badge)]));
		await department.start();
		await this.happen();
		return this;
	}
	async finish() {
		await this.department.stop();
		this.department.remove();
	}
	/** The answer to somebody who may. */
	async ask(path, role, body, headers) {
		const answer = await this.department.json(path, { token: this.tokens[role], body, headers });
		assert.ok(answer.status < 300, `${path}: ${answer.status} ${answer.text}`);
		return answer;
	}
	/** What the demo department lacks, so that the pages about it exist too. */
	async happen() {
		const first = { "if-match": "1" };
		const doc = async (path, role = "administrator", body, headers) => (await this.ask(path, role, body, headers)).doc;
		const made = async (path, body, role = "inspector") => (await this.ask(path, role, body)).headers.get("location");
		const part = async (tag) => (await doc(`/search?q=${tag}`)).component;
		const station = (await doc("/members?q=3004")).rows[0].station;
		this.tablet = await enrolled(this.department, this.tokens.administrator, station, "Bay 1");
		const draft = (await doc("/inspections", "inspector", { kind: "advanced", component: [await part("PX-3004-CS")] })).inspection.id;
		this.draft = `/inspections/${draft}`;
		const inspected = `${this.draft}/parts/${await part("PX-3004-CS")}`;
		const photo = await made(`${inspected}/photos`, photoForm(plainPng()));
		await made(`${inspected}/findings/photos?point=label`, photoForm(plainPng(1200, 900)));
		const found = (await doc("/dispatches/new")).candidates.slice(0, 3).map((one) => one.finding);
		const ticket = await made("/dispatches", { provider: 1, finding: found });
		await made("/prices", { kind: "hood", hazard: "proximity", reflective: false, valid_from: "2026-01-01", price: "90.00" }, "administrator");
		const notice = await made("/safety-notices", { issuer: "Harrow and Pell", reference: "HP-2026-7", issued_on: "2026-01-05",
			title: "Buckles may break", wrong: "A spring was left out.", action: "send", action_text: "To the works.", due_on: "2027-01-01",
			maker: "Ostler Works", serial_from: "O1", serial_to: "O09999999", made_from: "2015-01" }, "administrator");
		const hit = (await doc(`${notice}/items?left=yes`)).rows.map((row) => row.component);
		assert.ok(hit.length > 2);
		await this.ask(`${notice}/answers`, "administrator", { component: hit.slice(0, 2), answer: "not_affected", note: "read by the inspector" }, first);
		const smoky = await part("SX-1001-CS"), held = await part("SX-1001-HO");
		await this.ask("/exposures", "inspector", { component: [smoky], cause: "cbrn", contaminants: "powder" });
		const exposure = `/exposures/${(await doc("/exposures")).rows[0].id}`;
		const hold = await made("/holds", { component: [held], incident: "2026-0117, hangar 2", kept_where: "Evidence locker", container: "paper" });
		// Parts that may still be retired, may be marked for training, may not, and are.
		const spare = (await doc("/components?state=in_stores")).rows.map((row) => row.id);
		for (const [i, ground] of ["age", "lost"].entries()) await this.ask(`/components/${spare[i]}/retire`, "administrator", { ground }, first);
		const marked = (await doc("/components?state=training_only")).rows[0].id;
		await this.ask(`${ticket}/send`, "inspector", {}, first);
		/** Pages that links lead to, but not from the first two of their kind. */
		this.apart = ["/sign-in", "/sign-in?names=yes", "/tablet/enrol", "/tablets", "/tablets/new", "/pin",
			`/components/${marked}`, `/components/${spare[2]}/retire`, `/components/${spare[0]}/training`, `/components/${spare[1]}/training`, `/components/${spare[0]}/dispose`,
			...["", "/preparation", "/review", "/abandon"].map((end) => this.draft + end), `${ticket}/return`, hold, exposure, photo, `${inspected}/findings?point=label&defect=missing`, `${inspected}/findings`,
			notice, "/safety-notices/new", `${notice}/scopes/1/drop`, `/exposures/new?component=${smoky}`, "/exposures/new",
			`/components/${held}`, "/holds/new?component=9", "/holds/new", "/stations/new", "/components/new", "/members/new", "/providers/new",
			"/prices", "/prices/new", "/prices/1", "/components/9/prices", "/components?state=held", "/search?q=fall", "/ensembles/new",
			"/dispatches/new", "/search", "/search?q=PX-3OO4-CS", "/audit/5", "/tokens", "/accounts", "/accounts/new", "/accounts/1/edit",
			"/accounts/2/password", "/settings", "/rules", "/password"];
	}
	/** The pages of a tablet's people are there for the tablet only. */
	cookie(path, role) {
		const needs = role === "nobody" || path.startsWith("/tablet/") || path.includes("names=");
		return needs ? { cookie: `pegwarden_tablet=${this.tablet.cookies.get("pegwarden_tablet")}` } : {};
	}
	/**
	 * Path and HTML of each page that somebody of this role finds, two of a kind. A page
	 * apart may be denied; what a link leads to may not.
	 */
	async crawl(role) {
		const token = this.tokens[role], pages = new Map(), seen = new Map();
		const waiting = ["/", ...this.apart].map((path) => ({ path }));
		while (waiting.length) {
			const { path, from } = waiting.shift(), kind = shape(path);
			if (pages.has(path) || (seen.get(kind) ?? 0) >= 2) continue;
			const page = await this.department.json(path, { token, headers: { accept: "text/html", ...this.cookie(path, role) } });
			if (page.status === 303 || (!from && [403, 404].includes(page.status))) continue;
			assert.equal(page.status, 200, `${path}, linked on ${from}, as ${role}: ${page.text.slice(0, 300)} ${this.department.log}`);
			seen.set(kind, (seen.get(kind) ?? 0) + 1);
			pages.set(path, page.text);
			waiting.push(...links(page.text).map((to) => ({ path: to, from: path })));
		}
		return pages;
	}
}
