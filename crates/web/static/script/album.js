// Photos wait on this device too, in a store that is large enough for them; sent once each, as the id stays. Loaded only
// where a photo is taken or one waits.
const album = (mode, work) => new Promise((good, bad) => {
  const open = indexedDB.open('sumpwright', 1);
  open.onupgradeneeded = () => open.result.createObjectStore('photos', { keyPath: 'id' });
  open.onerror = () => bad(open.error);
  open.onsuccess = () => {
    const change = open.result.transaction('photos', mode), asked = work(change.objectStore('photos'));
    change.oncomplete = () => { open.result.close(); good(asked.result); };
    change.onabort = () => { open.result.close(); bad(change.error); };
  };
});
export default ({ $, keep, put, newId, lost, back, showWire }) => {
const shoot = $('form.shoot');
let carrying = false;
// One that the server will not have is not sent again; it waits until somebody drops it.
async function sendPhotos() {
  const told = keep.get('photos');
  if (carrying || !told || told.no) return;
  carrying = true;
  try {
    for (const { id, to, made, fields } of await album('readonly', s => s.getAll())) {
      const form = new FormData();
      for (const [name, value] of fields) form.append(name, value);
      form.append('ago_ms', Math.max(0, Date.now() - made));
      const answer = await fetch(to, { method: 'POST', body: form });
      if (answer.status >= 500) return;
      if (!answer.ok) return tellPhotos(`Kept: a photo that was not accepted (${answer.status}).`, id);
      await album('readwrite', s => s.delete(id));
    }
    tellPhotos();
    back();
    if (shoot) location.reload();
  } catch { lost(); } finally { carrying = false; }
}
function tellPhotos(text = '', no = '') { keep.set('photos', text && { text, no }); showWire(); }
shoot?.addEventListener('submit', async e => {
  e.preventDefault();
  try { if ((await fetch('/health')).ok) return shoot.submit(); } catch { lost(); }
  const fields = [...new FormData(shoot)], id = $('[name=id]', shoot);
  try {
    await album('readwrite', s => s.put({ id: id.value, to: shoot.action, made: Date.now(), fields }));
    tellPhotos('A photo is kept here and sent when it is back.');
    id.value = newId();
    $('[type=file]', shoot).value = '';
  } catch { put('wire', 'No room for a photo here: keep it in the camera and add it later.'); }
});
addEventListener('online', sendPhotos);
setInterval(sendPhotos, 4000);
sendPhotos();
return async id => { await album('readwrite', s => s.delete(id)); tellPhotos('Sending…'); sendPhotos(); };
};
