// The pages of an inspection's form, as somebody at the tablet fills them.

/** Yes to every question before the check points, a tap a part; how many taps. */
export async function sayYes(page) {
	let taps = 0;
	for (const section of await page.$$("main form section.card")) {
		const all = (await section.$("input[type=checkbox]")) ?? (await section.$("input[value=yes]"));
		await all.check();
		taps++;
	}
	await page.click("main form .actions button[type=submit]");
	return taps + 1;
}
