// Calendar arithmetic against luxon (a general-purpose date library), in UTC:
// 1,000,000 random cases with leap days, month ends, intervals back in time and labels without a day.
import assert from "node:assert/strict";
import { test } from "node:test";
import { ask, dice, peer } from "./peers.mjs";

const { DateTime } = peer("luxon");
const roll = dice(20260614);
const at = (text) => DateTime.fromISO(text, { zone: "utc" });
const randomDay = () => {
	const year = 1930 + roll(240), month = 1 + roll(12);
	const length = DateTime.utc(year, month).daysInMonth;
	// Ends of months and leap days are what goes wrong: every fourth day is one, and of those
	// every eighth the leap day of the next leap year.
	const leap = year + ((4 - (year % 4)) % 4);
	if (!roll(32) && DateTime.utc(leap).isInLeapYear) return `${leap}-02-29`;
	return DateTime.utc(year, month, roll(4) ? 1 + roll(length) : length).toISODate();
};

test("1,000,000 cases", () => {
	const questions = [], wanted = [];
	for (let i = 0; i < 1000000; i++) {
		const day = randomDay();
		switch (i % 4) {
		case 0: {
			const months = roll(481) - 240;
			questions.push(`m ${day} ${months}`);
			wanted.push(at(day).plus({ months }).toISODate());
			break;
		}
		case 1: {
			const years = roll(41) - 20;
			questions.push(`y ${day} ${years}`);
			wanted.push(at(day).plus({ years }).toISODate());
			break;
		}
		case 2: {
			const other = randomDay();
			questions.push(`d ${day} ${other}`);
			wanted.push(String(at(other).diff(at(day), "days").days));
			break;
		}
		default: {
			const label = day.slice(0, roll(2) ? 7 : 10);
			questions.push(`l ${label}`);
			const first = label.length === 7 ? `${label}-01` : label;
			wanted.push(`${first} ${label.length === 7 ? at(first).endOf("month").toISODate() : first} ${label}`);
		}
		}
	}
	const answers = ask("day_probe", questions.join("\n") + "\n").trim().split("\n");
	assert.equal(answers.length, wanted.length);
	const wrong = wanted.findIndex((one, i) => answers[i] !== one);
	assert.equal(answers[wrong], wanted[wrong], questions[wrong]);
	const asked = (pattern) => questions.filter((question) => pattern.test(question)).length;
	for (const pattern of [/^m .* -/, /^y .* -/, /^y \d+-02-29/, /^m \d+-02-29/, /^m .*-31 /, /^l \d+-02$/])
		assert.ok(asked(pattern) > 1000, `${pattern} was asked`);
});

test("29 February", () => {
	assert.equal(ask("day_probe", "y 2024-02-29 1\ny 2024-02-29 4\nm 2024-01-31 1\nm 2023-01-31 1\nl 2024-02\n"),
		"2025-02-28\n2028-02-29\n2024-02-29\n2023-02-28\n2024-02-01 2024-02-29 2024-02\n");
});
