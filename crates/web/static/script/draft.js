// A sheet is checked while it is typed; a finding leads to its place in the text.
const draft = $('form[data-check]');
let soon = 0;
draft?.addEventListener('input', () => {
  clearTimeout(soon);
  soon = setTimeout(async () => {
    try {
      const response = await fetch('/sheets/findings', { method: 'POST', body: new URLSearchParams(new FormData(draft)) });
      if (response.ok) swap(parsed(await response.text()));
    } catch { /* checked again when it is sent */ }
  }, 400);
});
if (draft) addEventListener('click', e => {
  const place = e.target.closest('.place'), area = $('textarea', draft);
  if (!place || !area) return;
  const at = area.value.split('\n').slice(0, place.dataset.line - 1).reduce((n, line) => n + line.length + 1, 0) + (place.dataset.column - 1);
  area.focus(); area.setSelectionRange(at, at + 1);
});
