// The pages of an inspection's form, as somebody at the tablet fills them.

/** The button of the form, and the page that follows. */
export async function press(page) {
	await Promise.all([page.waitForEvent("load"), page.click("main form:not([data-photos]) .actions button[type=submit]")]);
}

/** Yes to every question before the check points, a tap a part; how many taps. */
export async function sayYes(page) {
	let taps = 0;
	for (const section of await page.$$("main form section.card")) {
		const all = (await section.$("input[type=checkbox]")) ?? (await section.$("input[value=yes]"));
		await all.check();
		taps++;
	}
	await press(page);
	return taps + 1;
}
