// Asking the bench. Every change brings the token of this start.

const token = document.querySelector('meta[name="token"]').content;

async function ask(method, path, body, headers) {
  const changes = method === "GET" ? {} : { "x-rollwright-token": token };
  let answer;
  try {
    answer = await fetch(path, { method, body, headers: { ...changes, ...headers } });
  } catch {
    window.dispatchEvent(new CustomEvent("answers", { detail: false }));
    throw new Error("the bench does not answer: it may have been ended");
  }
  // Another start of the bench does not know this page any more.
  window.dispatchEvent(new CustomEvent("answers", { detail: answer.status !== 403 }));
  const told = await answer.json().catch(() => ({}));
  if (!answer.ok) {
    const why = new Error(told.refused || `the bench refused (${answer.status})`);
    why.status = answer.status;
    why.findings = told.findings;
    throw why;
  }
  return told;
}

const json = { "content-type": "application/json" };

export const get = (path) => ask("GET", path);
export const post = (path, value, version) =>
  ask("POST", path, JSON.stringify(value || {}), version ? { ...json, "if-match": version } : json);
export const send = (path, bytes) =>
  ask("POST", path, bytes, { "content-type": "application/octet-stream" });
export const put = (path, text, version) =>
  ask("PUT", path, text, { "content-type": "text/plain; charset=utf-8", "if-match": version });
