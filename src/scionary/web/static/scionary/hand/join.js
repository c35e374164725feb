// A phone that the book does not know yet gets a name.
import { known } from "./known.js";
import { button, changed, field, flag, go, link, make, show, tell, why } from "./page.js";
import { say } from "./say.js";
import { join } from "./send.js";

const typed = { name: "", words: "" };

export function joining() {
  if (known.trouble === "signed-out") return signInFirst();
  const away = known.trouble === "away";
  const name = make("input", {
    id: "phone-name",
    value: typed.name,
    maxlength: 60,
    autocomplete: "off",
    oninput: ({ target }) => (typed.name = target.value),
  });
  return show(
    say("Scionary in the hand"),
    make(
      "section",
      { class: "sheet wide" },
      make("p", { class: "say" }, say("Give this phone a name, and it works where no signal reaches.")),
      why(say("The book hands it codes for labels, and knows by its name what was written with it.")),
      away ? flag(say("This needs a signal once. The book does not answer here.")) : null,
      typed.words ? flag(typed.words) : null,
      field(say("Name of this phone"), name, say("Such as: Mara's phone.")),
      button(say("Take it along"), take, { class: "main huge", id: "join" }),
    ),
  );
}

// One button: a name is asked for when the book knows who it is.
const signInFirst = () =>
  show(
    say("Scionary in the hand"),
    make(
      "section",
      { class: "sheet wide" },
      make("p", { class: "say" }, say("The book asks first who you are.")),
      why(say("Then this phone gets a name and works where no signal reaches.")),
      link(say("Sign in"), "/account/login/?next=/hand/", { class: "button main huge", id: "sign-in" }),
      typed.words ? flag(typed.words) : null,
    ),
  );

async function take() {
  if (!typed.name.trim()) return tell((typed.words = say("Give it a name first."))) ?? changed();
  const words = await join(typed.name.trim());
  typed.words = words === "signed-out" ? "" : words;
  if (words === "signed-out") known.trouble = "signed-out";
  if (!words && location.hash === "#/join") return go("#/");
  return changed();
}
