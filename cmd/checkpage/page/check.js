// The page around the verifier: takes the chosen files, shows the answers. All
// text from a dossier is set as text, never as markup; the recomputed report is
// shown in a frame that may run nothing.
"use strict";

const state = document.getElementById("state");
const answers = document.getElementById("answers");
const chosen = document.getElementById("dossier");
const book = document.getElementById("ledger");

function line(tag, text, into) {
  const e = document.createElement(tag);
  e.textContent = text;
  into.append(e);
  return e;
}

function show(result) {
  answers.replaceChildren();
  document.getElementById("report").hidden = !result.page;
  if (result.error) {
    line("p", "It cannot be opened as a dossier: " + result.error, answers);
    return;
  }
  line("p", result.study + " \u2014 " + result.by, answers);
  result.answers.forEach((a, i) => {
    line("h2", (i + 1) + ". " + a.question, answers);
    const mark = a.bad ? "Contradiction. " : a.good ? "In order. " : "Open. ";
    const p = line("p", "", answers);
    line("span", mark, p).className = "mark";
    p.append(a.text);
    p.dataset.state = a.state;
    const ul = line("ul", "", answers);
    a.details.slice(0, 50).forEach((d) => line("li", d, ul));
  });
  line("p", "manifest sha256:" + result.manifest, answers);
  if (result.page) document.getElementById("page").srcdoc = result.page;
}

async function bytes(file) {
  return new Uint8Array(await file.arrayBuffer());
}

// named fetches a dossier that the address names beside the page: a publisher's
// page can link to its own dossiers.
async function named(key) {
  const name = new URLSearchParams(location.search).get(key);
  if (!name || !/^[A-Za-z0-9._-]+$/.test(name)) return null;
  const answer = await fetch(name);
  return answer.ok ? new Uint8Array(await answer.arrayBuffer()) : null;
}

async function check() {
  const archive = chosen.files.length ? await bytes(chosen.files[0]) : await named("dossier");
  if (!archive) return;
  state.textContent = "All figures are being computed anew.";
  await new Promise((r) => setTimeout(r, 50)); // so that the line above is drawn
  const begin = performance.now();
  const ledger = book.files.length ? await bytes(book.files[0]) : await named("ledger");
  show(JSON.parse(window.telltaleVerify(archive, ledger)));
  state.textContent = "Done in " + ((performance.now() - begin) / 1000).toFixed(1) + " s.";
}

async function start() {
  const go = new Go();
  const loaded = await WebAssembly.instantiate(await (await fetch("check.wasm")).arrayBuffer(), go.importObject);
  go.run(loaded.instance);
  state.textContent = "Ready.";
  chosen.addEventListener("change", check);
  book.addEventListener("change", check);
  check();
}

start().catch((e) => { state.textContent = "The program could not be loaded: " + e.message; });
