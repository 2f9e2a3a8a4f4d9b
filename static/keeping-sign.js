// The signature: when all that was answered has arrived, and by the browser itself.
"use strict";
import { beginForm, leave, page, sentSoon } from "./keeping-form.js";
import { isThere } from "./keeping-send.js";

async function sign(button) {
	const ofThis = async () => (await page.mine()).some((one) => one.path.startsWith(`${page.inspection}/`));
	const waited = await ofThis(), stopped = await sentSoon();
	page.words = "";
	if (stopped !== "done" || !await isThere(page.who)) page.words = "Signing needs the network. Nothing is lost";
	else if (!waited) leave(button); // else the page comes again, with what was sent
	await page.show();
}
export const begin = (given) => beginForm(given, sign);
