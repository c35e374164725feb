// The page's own language. The English text is the key; where the book has no catalogue of that language, English is shown.
const PATIENCE_MS = 4000;
const NONE = { texts: {}, numbers: {}, rules: [] };
const page = document.documentElement;

export const language = page.lang || "en-GB";
const words = /^en\b/i.test(language) ? NONE : await catalogue(page.dataset.words ?? "/hand/words.json");

async function catalogue(address) {
  try {
    const answer = await fetch(address, { signal: AbortSignal.timeout(PATIENCE_MS) });
    return answer.ok ? { ...NONE, ...(await answer.json()) } : NONE;
  } catch {
    return NONE;
  }
}

const filled = (text, fields) => text.replace(/\{(\w+)\}/g, (whole, name) => fields[name] ?? whole);

// The text in the page's language, its {braces} filled.
export const say = (text, fields = {}) => filled(words.texts[text] ?? text, fields);

// The text for this number; {count} is filled as well. A rule tells for each number below 200 which form it takes; larger ones repeat.
export function several(count, one, many, fields = {}) {
  const [forms, rule] = words.numbers[one] ?? [[one, many]];
  const whole = Math.abs(Math.trunc(count));
  const which = rule === undefined ? Number(count !== 1) : Number(words.rules[rule][whole < 200 ? whole : 100 + (whole % 100)]);
  return filled(forms[which] ?? many, { count, ...fields });
}

// The text as it is, noted for translators: it is said where it is shown.
export const mark = (text) => text;

// A text with elements in its braces, as a list of its pieces.
export const around = (text, elements) => text.split(/(\{\w+\})/).map((piece) => elements[piece.match(/^\{(\w+)\}$/)?.[1]] ?? piece);
