// Small tools. Everything below works on pages the server has already drawn.
const root = document.documentElement, body = document.body;
root.classList.add('js');
const $ = (what, from = document) => from.querySelector(what);
const $$ = (what, from = document) => [...from.querySelectorAll(what)];
const part = $('#part'), job = part?.dataset.job;
const keep = {
  get(key, otherwise) { try { return JSON.parse(localStorage.getItem(key)) ?? otherwise; } catch { return otherwise; } },
  set(key, value) { try { localStorage.setItem(key, JSON.stringify(value)); return true; } catch { return false; } },
};
function clock(seconds) {
  const s = Math.max(0, Math.floor(seconds)), two = n => String(n).padStart(2, '0');
  const h = Math.floor(s / 3600), m = Math.floor(s / 60) % 60;
  return h ? `${h}:${two(m)}:${two(s % 60)}` : `${m}:${two(s % 60)}`;
}
// randomUUID needs https; workshop networks are often plain http.
function newId() {
  const b = crypto.getRandomValues(new Uint8Array(16));
  b[6] = b[6] & 15 | 64; b[8] = b[8] & 63 | 128;
  const hex = [...b].map(n => n.toString(16).padStart(2, '0')).join('');
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, '$1-$2-$3-$4-');
}
const on = (where, what, act) => where.addEventListener(what, act);
const parsed = html => new DOMParser().parseFromString(html, 'text/html');
const put = (id, text) => { const e = document.getElementById(id); if (e && e.textContent !== text) e.textContent = text; };
const make = (tag, text, attributes = {}) => {
  const e = document.createElement(tag);
  if (text) e.textContent = text;
  for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, v);
  return e;
};
