// A code as it was read off a label: in any spacing, with ? for what cannot be read; two may be missing.
import { grouped } from "./page.js";
import { say } from "./say.js";

const LENGTH = 7;

export function find(typed, list, codeOf) {
  const read = typed.toUpperCase().replace(/[^A-Z0-9?]/g, "");
  if (read.length !== LENGTH || [...read].filter((letter) => letter === "?").length > 2) {
    return { words: say("A code has {count} characters. Write ? for one that cannot be read; two may be missing.", { count: LENGTH }) };
  }
  const found = list.filter((each) => [...read].every((letter, i) => letter === "?" || letter === codeOf(each)?.[i]));
  if (found.length === 1) return { found: found[0] };
  return {
    words: found.length
      ? say("{code} fits several. Read one more character.", { code: grouped(read) })
      : say("{code} is not known to this phone.", { code: grouped(read) }),
  };
}
