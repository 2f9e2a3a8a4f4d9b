// Tables against RFC 4180 and against papaparse, a general-purpose parser.
import assert from "node:assert/strict";
import { test } from "node:test";
import { ask, dice, peer } from "./peers.mjs";

const Papa = peer("papaparse");
const read = (text) => JSON.parse(ask("csv_probe", text));

// RFC 4180, section 2, the rules by their numbers, examples made for them.
const rules = [
	["1, lines end with CRLF", "tag,kind\r\nA,hood\r\n", [["tag", "kind"], ["A", "hood"]]],
	["2, the last line may lack it", "tag,kind\r\nA,hood", [["tag", "kind"], ["A", "hood"]]],
	["4, spaces belong to the field", "a, b ,c\r\n", [["a", " b ", "c"]]],
	["5, fields may be quoted", '"a","b","c"\r\n', [["a", "b", "c"]]],
	["6, quoted fields hold line breaks and commas", '"a","b\r\nb","c,d"\r\n', [["a", "b\r\nb", "c,d"]]],
	["7, a quote inside is doubled", '"a","b""b"\r\n', [["a", 'b"b']]],
];
for (const [name, text, rows] of rules) test(`RFC 4180, rule ${name}`, () => assert.deepEqual(read(text), rows));

const roll = dice(4180);
const pieces = ["a", "B7", " ", ",", ";", '"', "\n", "\r\n", "é", "漢", "-", "0", "'", "\t", "🧯"];
const cell = () => Array.from({ length: roll(6) }, () => pieces[roll(pieces.length)]).join("");
const table = () => {
	const columns = 2 + roll(5);
	const rows = [Array.from({ length: columns }, (_, i) => `column${i}`)];
	for (let i = 0; i < 1 + roll(6); i++) rows.push(Array.from({ length: columns }, (_, c) => (c ? cell() : `x${cell()}`)));
	return rows;
};

test("what papaparse writes, we read", () => {
	for (let i = 0; i < 400; i++) {
		const rows = table();
		const text = (roll(2) ? "\uFEFF" : "") + Papa.unparse(rows, { delimiter: roll(2) ? "," : ";", newline: roll(2) ? "\r\n" : "\n", quotes: roll(2) === 1 });
		assert.deepEqual(read(text), rows, JSON.stringify(text));
	}
});
test("what we write, papaparse reads", () => {
	for (let i = 0; i < 400; i++) {
		const rows = table();
		const text = ask("csv_probe", JSON.stringify(rows), "write");
		const back = Papa.parse(text, { delimiter: ",", newline: "\r\n" }).data.slice(0, -1);
		assert.deepEqual(back, rows, JSON.stringify(text));
		assert.deepEqual(read(text), rows);
	}
});
