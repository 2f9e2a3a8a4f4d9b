// The mutants of a C file: each is the file with one small fault put in. Comments, text in
// quotes and preprocessor lines are left alone.

const SWAPS = {
	'<': ['<=', '>='], '<=': ['<', '>'], '>': ['>=', '<='], '>=': ['>', '<'],
	'==': ['!='], '!=': ['=='], '&&': ['||'], '||': ['&&'],
	'+': ['-'], '-': ['+'], '++': ['--'], '+=': ['-='], '-=': ['+='],
	'!': [''], 'true': ['false'], 'false': ['true'], 'break': [';'], 'continue': [';'],
};

const TOKEN = /\/\*[^]*?\*\/|\/\/[^\n]*|^[ \t]*#[^\n]*|"(?:\\.|[^"\\])*"|'(?:\\.|[^'\\])*'|[A-Za-z_]\w*|\d\w*|->|\+\+|--|&&|\|\||[<>=!+\-*/]=|<<|>>|[^\s\w]/gm;

const isName = (token) => /^[A-Za-z_]/.test(token);
const isValue = (token) => /^[\w)\]]/.test(token ?? '') && token !== 'return';

function tokensOf(source) {
	const isLeftAlone = (text) => /^(\/\*|\/\/|[ \t]*#|["'])/.test(text);
	return [...source.matchAll(TOKEN)]
		.map((match) => ({ text: match[0], at: match.index }))
		.filter((token) => !isLeftAlone(token.text) || /^["']/.test(token.text));
}

const numbersBeside = (text) => {
	const n = Number(text);
	return Number.isInteger(n) ? [...new Set([n + 1, n > 0 ? n - 1 : 1])].map(String) : [];
};

// What a token may be put in place of; a minus or plus only between two values.
function replacements(tokens, i) {
	const { text } = tokens[i];
	if (/^\d/.test(text)) return numbersBeside(text);
	if ((text === '+' || text === '-') && !isValue(tokens[i - 1]?.text)) return [];
	return Object.hasOwn(SWAPS, text) ? SWAPS[text] : [];
}

// The index of the semicolon that ends the statement beginning at i; -1 when braces come first.
function statementEnd(tokens, i) {
	for (let j = i, depth = 0; j < tokens.length; j++) {
		const { text } = tokens[j];
		if (/^[({[]$/.test(text)) depth++;
		if (/^[)}\]]$/.test(text) && --depth < 0) return -1;
		if (text === ';' && depth === 0) return j;
	}
	return -1;
}

const beginsStatement = (before) => before === undefined || /^[;{}):]$/.test(before) || before === 'else';

// A call whose result nobody takes, left out.
function droppedCall(tokens, i) {
	if (!isName(tokens[i].text) || tokens[i + 1]?.text !== '(' || !beginsStatement(tokens[i - 1]?.text)) return null;
	if (['if', 'for', 'while', 'switch', 'return', 'sizeof'].includes(tokens[i].text)) return null;
	const end = statementEnd(tokens, i);
	return end > 0 && tokens[end - 1].text === ')' ? { from: tokens[i].at, to: tokens[end].at, by: '' } : null;
}

// A result, in its place a constant.
function constantResults(tokens, i) {
	if (tokens[i].text !== 'return' || tokens[i + 1]?.text === ';') return [];
	const end = statementEnd(tokens, i);
	if (end < 0) return [];
	const was = tokens[i + 1].text, isAlone = end === i + 2;
	const same = { NULL: '0', ERR_OK: '0', false: '0', true: '1' };
	const from = tokens[i + 1].at, to = tokens[end].at;
	return ['0', '1'].filter((by) => !isAlone || same[was] !== by).map((by) => ({ from, to, by }));
}

export function mutantsOf(source) {
	const tokens = tokensOf(source);
	const changes = tokens.flatMap((token, i) => [
		...replacements(tokens, i).map((by) => ({ from: token.at, to: token.at + token.text.length, by })),
		...[droppedCall(tokens, i)].filter(Boolean),
		...constantResults(tokens, i),
	]);
	return changes
		.filter(({ from, to, by }) => source.slice(from, to) !== by)
		.map((change) => ({
			line: source.slice(0, change.from).split('\n').length,
			was: source.slice(change.from, change.to).replace(/\s+/g, ' '),
			by: change.by,
			source: source.slice(0, change.from) + change.by + source.slice(change.to),
		}));
}
