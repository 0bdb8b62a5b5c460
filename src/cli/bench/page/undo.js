// Steps back and forth over every change of a file, since it was read.

import * as draft from "./draft.js";
import { el, status } from "./make.js";

// The two buttons, and what ends them; `again` shows the file anew.
export function steps(name, again) {
  const file = () => draft.files.get(name);
  const button = (words, from, to) => el("button", { type: "button", onclick: () => {
    status("");
    if (draft.step(file(), from, to)) again();
  } }, words);
  const [back, forth] = [button("Undo", "past", "future"), button("Redo", "future", "past")];
  const tell = () => {
    back.disabled = !file().past.length;
    forth.disabled = !file().future.length;
  };
  tell();
  return { buttons: [back, forth], end: draft.onTouched(tell) };
}
