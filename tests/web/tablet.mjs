// A device as a browser without scripts is one: it keeps its cookies, and sends the forms of
// the pages it was shown.
import assert from "node:assert/strict";
import { password } from "./harness.mjs";

export const pin = "602214";

export class Device {
	constructor(department) {
		this.department = department;
		this.cookies = new Map();
	}
	/** A page, or what a form is answered with; cookies are kept, nothing is followed. */
	async ask(path, fields, accept = "text/html") {
		const answer = await fetch(this.department.url + path, { method: fields ? "POST" : "GET", redirect: "manual",
			headers: { accept, cookie: [...this.cookies].map((pair) => pair.join("=")).join("; "),
				referer: this.department.url + (this.page ?? "/"), ...(fields ? { "content-type": "application/x-www-form-urlencoded" } : {}) },
			body: fields && new URLSearchParams(fields) });
		for (const line of answer.headers.getSetCookie()) {
			const [, name, value] = line.match(/^([^=]+)=([^;]*)/);
			if (value) this.cookies.set(name, value);
			else this.cookies.delete(name);
		}
		if (!fields && answer.status === 200) this.page = path;
		return { status: answer.status, location: answer.headers.get("location"), set: answer.headers.getSetCookie(), headers: answer.headers, text: await answer.text() };
	}
	/** The page behind the redirects, as a person sees it. */
	async open(path) {
		for (;;) {
			const answer = await this.ask(path);
			if (answer.status !== 303) return Object.assign(answer, { path });
			path = answer.location;
		}
	}
	/** Sends the form of a page that goes to `action`, its hidden inputs with what is typed. */
	async send(page, action, typed) {
		const form = [...page.text.matchAll(/<form[^>]* action="([^"]*)"[^>]*>[\s\S]*?<\/form>/g)].find((one) => plain(one[1]) === action)?.[0];
		assert.ok(form, `${action} in ${page.text}`);
		const hidden = [...form.matchAll(/<input type="hidden" name="([^"]*)" value="([^"]*)"/g)].map(([, name, value]) => [name, plain(value)]);
		return this.ask(action, [...hidden, ...Object.entries(typed)]);
	}
	async enrol(code) { return this.ask("/tablet/enrol", { code }); }
	async signIn(badge) { return this.ask("/sign-in", { badge, password }); }
	/** By PIN: the answer to the form of the person's page. */
	async giveIn(account, digits = pin, next = "/") {
		return this.send(await this.ask(`/tablet/people/${account}?next=${encodeURIComponent(next)}`), `/tablet/people/${account}`, { pin: digits });
	}
	async handOver() { return this.send(await this.open("/"), "/sign-out", {}); }
}
const plain = (html) => html.replaceAll("&lt;", "<").replaceAll("&gt;", ">").replaceAll("&quot;", '"').replaceAll("&#39;", "'").replaceAll("&amp;", "&");

/** A tablet of a station, enrolled: the device with its secret. */
export async function enrolled(department, officer, station, name) {
	const made = await department.json("/tablets", { token: officer, body: { name, station } });
	assert.equal(made.status, 201, made.text);
	const device = Object.assign(new Device(department), { id: made.doc.tablet.id });
	assert.equal((await device.enrol(made.doc.secret)).status, 303);
	return device;
}
